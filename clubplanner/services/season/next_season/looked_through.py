"""The next season, looked through before it is made: proposed by rule, corrected by hand, kept."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.problems import Problem
from clubplanner.domain.times.times import short_day
from clubplanner.errors import RefusedError
from clubplanner.language import _
from clubplanner.services.rows.seasons.season_rows import last_season
from clubplanner.services.rows.snapshot import load_club, load_zone
from clubplanner.services.season.next_season.answers import (
    Differing,
    Sent,
    digest_of,
    forget_answers,
    keep_answers,
    load_answers,
)
from clubplanner.services.season.next_season.dates import (
    date_problems,
    day_from_text,
    own_seasons,
    propose_breaks,
    propose_holidays,
    propose_stretches,
    season_that_ends,
    typed_about_dates,
)
from clubplanner.services.season.next_season.squads import (
    propose_new,
    propose_squads,
    squad_problems,
    typed_about_squad,
)
from clubplanner.services.season.next_season.told import tell_own_seasons, tell_squads, tell_stay
from clubplanner.services.season.next_season.values import ON, DatesNext, Given, NextSeason
from clubplanner.store.tables.club_tables import StretchRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

SEASON = "season-1"
"""Under which answers about the season itself are kept."""


@dataclass(frozen=True, slots=True)
class Saved:
    """What became of what was typed.

    Attributes:
        differing: What somebody else has changed in the meantime, and was not kept.
    """

    differing: tuple[Differing, ...]


def see_next_season(store: Store, now: datetime) -> NextSeason:
    """Propose the next season, with what was typed about it so far.

    Args:
        store: The database.
        now: The present instant.

    Raises:
        NoClubError: If no club has been loaded yet.
    """
    with store.read() as session:
        return build_next_season(session, now)


def save_next_season(
    store: Store, typed: Mapping[str, Mapping[str, str]], was: Mapping[str, str], now: datetime
) -> Saved:
    """Keep what a form says of the next season; what it leaves as proposed is not kept.

    Args:
        store: The database.
        typed: Every field of the form, by what it is about.
        was: The digest that each was shown with.
        now: The present instant.
    """
    with store.write() as session:
        page = build_next_season(session, now)
        sent = {
            item: Sent(own, was.get(item, ""))
            for item, own in _without_proposed(session, page, typed, now)
        }
        return Saved(keep_answers(session, sent, store.by))


def forget_next_season(store: Store) -> str:
    """Forget all that was typed about the next season, and propose it anew.

    Returns:
        What was done, a sentence.
    """
    with store.write() as session:
        forget_answers(session)
    return _("What was typed about the next season is forgotten; it is proposed anew.")


def build_next_season(session: Session, now: datetime) -> NextSeason:
    """Propose the next season within an open session; see `see_next_season`."""
    load_club(session)
    today = now.astimezone(load_zone(session)).date()
    answers = load_answers(session)
    dates = season_that_ends(session, today)
    stretches = propose_stretches(dates, answers)
    breaks = propose_breaks(session, dates, answers)
    shown = _season_fields(stretches, answers.get(SEASON, {}))
    starts_on = day_from_text(shown["starts_on"])
    squads = propose_squads(session, answers, starts_on or today, dates.years)
    begin = propose_new(answers, squads)
    others = session.scalars(select(StretchRow)).all()
    problems = (
        *_season_problems(session, shown["starts_on"], starts_on, stretches),
        *squad_problems(squads, begin),
        *date_problems(stretches, breaks, others),
    )
    return NextSeason(
        starts_on=starts_on,
        shown=shown,
        was=digest_of(answers.get(SEASON, {})),
        squads=squads,
        begin=begin,
        stretches=stretches,
        breaks=breaks,
        holidays=propose_holidays(session, dates, stretches, breaks, answers),
        problems=problems,
        told=(
            *tell_squads(squads, begin),
            *tell_own_seasons([row.squad for row in own_seasons(session, dates, today)[1]]),
            *tell_stay(session, squads, starts_on, now),
        ),
        made=_made(session, today),
        is_begun=any(any(given.values()) for given in answers.values()),
        weeks=dates.weeks,
    )


def refuse_made(session: Session, now: datetime) -> None:
    """Raise RefusedError where the next season has been made already and has not begun."""
    made = _made(session, now.astimezone(load_zone(session)).date())
    if made:
        raise RefusedError(made)


def _made(session: Session, today: date) -> str:
    season = last_season(session)
    if season is None or season.starts_on <= today:
        return ""
    return _(
        "The season from %(day)s %(year)s is made already; the one after it can be made once it "
        "has begun. To make it otherwise, take it back in the list of changes.",
        day=short_day(season.starts_on),
        year=season.starts_on.year,
    )


def _season_fields(stretches: Sequence[DatesNext], given: Given) -> dict[str, str]:
    return {
        "starts_on": _first_day(stretches),
        "addresses": ON,
        **given,
    }


def _first_day(stretches: Sequence[DatesNext]) -> str:
    days = [one.first for one in stretches if one.first is not None and not one.is_left_out]
    return str(min(days)) if days else ""


def _season_problems(
    session: Session, typed: str, starts_on: date | None, stretches: Sequence[DatesNext]
) -> Iterator[Problem]:
    if starts_on is None:
        words = (
            _("Enter the first date as year-month-day, like 2026-11-25.")
            if typed
            else _("There is no stretch to go by: enter the first date of the next season.")
        )
        yield Problem(f"{SEASON}-starts_on", "date", words)
        return
    season = last_season(session)
    if season is not None and starts_on <= season.starts_on:
        words = _("A season begins on this date or later already; enter a later first date.")
        yield Problem(f"{SEASON}-starts_on", "date", words)
    first = _first_day(stretches)
    if first and first < str(starts_on):
        words = _("A stretch begins before the season does; correct one of the two dates.")
        yield Problem(f"{SEASON}-starts_on", "order", words)
    if not session.scalar(select(func.count(SquadRow.id))):
        words = _("There is no squad yet that could be a year older; add the squads first.")
        yield Problem(f"{SEASON}-starts_on", "no-squads", words)


def _without_proposed(
    session: Session, page: NextSeason, typed: Mapping[str, Mapping[str, str]], now: datetime
) -> Iterator[tuple[str, Given]]:
    """Yield what was typed of each thing that there is, as far as it is not what is proposed."""
    today = now.astimezone(load_zone(session)).date()
    years = season_that_ends(session, today).years
    squads = {squad.item: squad for squad in page.squads}
    spans = {one.item: one for one in (*page.stretches, *page.breaks)}
    holidays = {one.item: one for one in page.holidays}
    news = {one.item for one in page.begin}
    for item, fields in typed.items():
        if item in squads:
            yield item, typed_about_squad(squads[item], dict(fields), years)
        elif item in spans:
            yield item, typed_about_dates(spans[item], dict(fields))
        elif item in holidays:
            choice = fields.get("choice", "")
            yield item, {} if choice == holidays[item].proposed else {"choice": choice}
        elif item in news:
            yield item, {name: value for name, value in fields.items() if value}
        elif item == SEASON:
            usual = {"starts_on": _first_day(page.stretches), "addresses": ON}
            yield item, {name: v for name, v in fields.items() if v != usual[name]}


def digest_of_page(page: NextSeason) -> str:
    """Return a short digest of all that making a season would do."""
    parts = (
        page.starts_on,
        [(s.number, s.name, s.becomes, s.becomes_group, s.fate, s.into, s.players, s.ends_links)
         for s in page.squads],
        [dict(new.shown) for new in page.begin if new.name],
        [(d.number, d.becomes, d.first, d.last, d.is_left_out)
         for d in (*page.stretches, *page.breaks)],
        [(h.day, h.choice) for h in page.holidays],
    )  # fmt: skip
    return hashlib.sha256(repr(parts).encode()).hexdigest()[:16]
