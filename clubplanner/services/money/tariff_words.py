"""Tariffs and reductions in words, for pages and commands."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from clubplanner.domain.money.amounts import tell_amount
from clubplanner.domain.money.checking import A_LEAP_YEAR
from clubplanner.domain.money.tariffs import InLight, Payer, Per
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    clock_from_minute,
    day_and_month,
    day_in_short,
)
from clubplanner.domain.times.windows import told_days, write_days
from clubplanner.language import _, figure, marked, term

if TYPE_CHECKING:
    from clubplanner.domain.money.lines import Reduction
    from clubplanner.domain.money.tariffs import Tariff

PAYERS = {
    Payer.CLUB: marked("The club pays its venues"),
    Payer.SQUAD: marked("Squads pay the club"),
    Payer.HIRER: marked("Hirers pay the club"),
}
PERS = {Per.HOUR: marked("for an hour"), Per.OPENING: marked("for each date with a session")}
LIGHTS = {
    InLight.ANY: marked("in any light"),
    InLight.FLOODLIGHT: marked("while floodlights burn"),
    InLight.DAYLIGHT: marked("while they do not"),
}


def amount_words(tariff: Tariff, currency: str) -> str:
    """Say what it costs: "€12.50 for an hour, on top"."""
    words = f"{tell_amount(tariff.amount, currency)} {term(PERS[tariff.per])}"
    return _("%(words)s, on top", words=words) if tariff.adds else words


def when_words(tariff: Tariff) -> str:
    """Say when it holds; "always" without any condition."""
    parts = []
    if tariff.light is not InLight.ANY:
        parts.append(term(LIGHTS[tariff.light]))
    if tariff.weekdays:
        parts.append(told_days(write_days(sorted(tariff.weekdays))))
    if (tariff.from_min, tariff.to_min) != (0, MINUTES_A_DAY):
        parts.append(f"{clock_from_minute(tariff.from_min)}–{clock_from_minute(tariff.to_min)}")
    if tariff.season_from:
        first, last = (_day_of_year(day) for day in (tariff.season_from, tariff.season_to))
        parts.append(_("each year from %(first)s to %(last)s", first=first, last=last))
    if tariff.starts_on:
        parts.append(_("from %(day)s on", day=day_in_short(tariff.starts_on)))
    if tariff.ends_on:
        parts.append(_("until %(day)s", day=day_in_short(tariff.ends_on)))
    return ", ".join(parts) or _("always")


def _day_of_year(text: str) -> str:
    return day_and_month(date.fromisoformat(f"{A_LEAP_YEAR}-{text}"))


def reduction_words(reduction: Reduction) -> str:
    """Say what it takes off: "10 hours free a month, then 40 % off"."""
    parts = []
    if reduction.free_minutes:
        hours = figure(reduction.free_minutes / 60, ".10g")
        parts.append(_("%(hours)s hours free a month", hours=hours))
    if reduction.percent:
        parts.append(_("%(percent)s %% off", percent=reduction.percent))
    return ", ".join(parts)


def for_whom(reduction: Reduction, called: str, venue: str) -> str:
    """Say whose price it takes something off, and where.

    Args:
        reduction: The reduction.
        called: What the squad or hirer is called; blank for all of them.
        venue: What the venue is called; blank for all.
    """
    parts = [called or term(PAYERS[reduction.payer])]
    if reduction.up_to_age is not None:
        parts.append(_("squads up to U%(age)s", age=reduction.up_to_age))
    if venue:
        parts.append(venue)
    return ", ".join(parts)
