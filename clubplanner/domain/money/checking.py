"""What does not go together in a tariff or a reduction, in words, each with its field."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING

from clubplanner.domain.money.lines import EVERYBODY, MOST_FREE_MINUTES
from clubplanner.domain.money.tariffs import LONGEST_NAME, InLight, Payer, Per
from clubplanner.domain.times.times import MINUTES_A_DAY
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.domain.money.lines import Reduction
    from clubplanner.domain.money.tariffs import Tariff

_DAY_OF_YEAR = re.compile(r"\d\d-\d\d")
A_LEAP_YEAR = 2000
ALL_DAY = (0, MINUTES_A_DAY)


def is_day_of_year(text: str) -> bool:
    """Tell whether a text is a day of a year, such as "10-01" or "02-29"."""
    if not _DAY_OF_YEAR.fullmatch(text):
        return False
    try:
        date.fromisoformat(f"{A_LEAP_YEAR}-{text}")
    except ValueError:
        return False
    return True


def tariff_faults(tariff: Tariff) -> Iterator[tuple[str, str]]:
    """Yield the field and the words of each fault; fields are those of `Tariff`."""
    if len(tariff.name) > LONGEST_NAME:
        yield "name", _("Write at most %(most)s letters", most=LONGEST_NAME)
    if tariff.to_min <= tariff.from_min:
        yield (
            "to_min",
            _(
                "The end must come after the start; for hours past midnight write two tariffs, "
                "one for each day"
            ),
        )
    for field in ("season_from", "season_to"):
        value = getattr(tariff, field)
        if value and not is_day_of_year(value):
            yield field, _("Write month and day, like 10-01 for the first of October")
    if bool(tariff.season_from) != bool(tariff.season_to):
        yield "season_to", _("Write both ends of the season, or neither")
    if tariff.starts_on and tariff.ends_on and tariff.ends_on < tariff.starts_on:
        yield "ends_on", _("The last date must not come before the first")
    if tariff.per is Per.OPENING and tariff.payer is Payer.CLUB and tariff.spot.pitch:
        yield "per", _("A venue opens, not a pitch; leave pitch out")
    hours = tariff.from_min, tariff.to_min
    if tariff.per is Per.OPENING and (tariff.light is not InLight.ANY or hours != ALL_DAY):
        yield "per", _("An opening is of a whole date; leave light and hours out")


def reduction_faults(reduction: Reduction) -> Iterator[tuple[str, str]]:
    """Yield the field and the words of each fault; fields are those of `Reduction`."""
    if len(reduction.name) > LONGEST_NAME:
        yield "name", _("Write at most %(most)s letters", most=LONGEST_NAME)
    if not 0 <= reduction.percent <= 100:
        yield "percent", _("Enter 0 to 100 %.")
    if not 0 <= reduction.free_minutes <= MOST_FREE_MINUTES:
        yield "free_minutes", _("Enter 0 to %(most)s hours.", most=MOST_FREE_MINUTES // 60)
    if not (reduction.percent or reduction.free_minutes):
        yield "percent", _("Write free hours or a percentage, or both")
    if reduction.payer is Payer.CLUB and reduction.who != EVERYBODY:
        yield "who", _("What venues charge the club is reduced by venue")
    if reduction.up_to_age is not None and reduction.payer is not Payer.SQUAD:
        yield "up_to_age", _("Only squads have an age")
