"""Where stretches, breaks and public holidays lie in the next season."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.keys import key_from_name
from clubplanner.domain.problems import Problem
from clubplanner.domain.times.next_year import find_again, move_break, name_on, weeks_on, years_on
from clubplanner.domain.times.seasons import Break
from clubplanner.domain.times.times import short_day
from clubplanner.domain.times.year import LAST_YEAR, Holiday, public_holidays
from clubplanner.language import _
from clubplanner.services.rows.seasons.season_rows import last_season
from clubplanner.services.season.next_season.answers import digest_of
from clubplanner.services.season.next_season.values import DatesNext, Given, HolidayNext
from clubplanner.services.season.year import LONGEST_DAYS
from clubplanner.store.tables.club_tables import BreakRow, StretchRow
from clubplanner.store.tables.season_tables import (
    HolidayPlaceRow,
    SquadSeasonRow,
    TrainingHolidayRow,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from sqlalchemy.orm import Session

DATE_FIELDS = ("name", "first", "last", "drop")
DROPPED = "yes"
EARLIEST, LATEST = date(2000, 1, 1), date(2199, 12, 31)


@dataclass(frozen=True, slots=True)
class SeasonDates:
    """The stretches of the season that ends, and how far they move.

    Attributes:
        stretches: By date; empty for a club that has none.
        years: How many years on the next season lies.
        weeks: By how many weeks its stretches move.
    """

    stretches: tuple[StretchRow, ...]
    years: int
    weeks: int

    @property
    def shift(self) -> timedelta:
        """How far its stretches move."""
        return timedelta(weeks=self.weeks)


def season_that_ends(session: Session, today: date) -> SeasonDates:
    """Return the stretches of the season that was begun last; all, where none was begun so."""
    season = last_season(session)
    rows = session.scalars(select(StretchRow).order_by(StretchRow.starts_on, StretchRow.id)).all()
    own = tuple(row for row in rows if season is None or row.ends_on >= season.starts_on)
    if not own:
        return SeasonDates((), 1, 0)
    first, last = own[0].starts_on, max(row.ends_on for row in own)
    years = years_on(first, last, today)
    return SeasonDates(own, years, weeks_on(first, years))


def propose_stretches(dates: SeasonDates, answers: Mapping[str, Given]) -> tuple[DatesNext, ...]:
    """Propose where each stretch moves, and what it is called there."""
    return tuple(
        _dates_next(
            row,
            f"stretch-{row.id}",
            answers,
            name_on(row.name, dates.years, row.starts_on + dates.shift, row.ends_on + dates.shift),
            (row.starts_on + dates.shift, row.ends_on + dates.shift),
        )
        for row in dates.stretches
    )


def propose_breaks(
    session: Session, dates: SeasonDates, answers: Mapping[str, Given]
) -> tuple[DatesNext, ...]:
    """Propose where each break of the season that ends moves."""
    if not dates.stretches:
        return ()
    first = dates.stretches[0].starts_on - timedelta(days=31)
    before, after = _holidays(session, dates)
    found = []
    for row in session.scalars(select(BreakRow).order_by(BreakRow.starts_on, BreakRow.id)):
        if row.ends_on < first or row.starts_on > _last(dates) + timedelta(days=92):
            continue
        moved = move_break(Break(row.name, row.starts_on, row.ends_on), dates.weeks, before, after)
        found.append(
            _dates_next(
                row,
                f"break-{row.id}",
                answers,
                _break_name(row, dates),
                (moved.starts_on, moved.ends_on),
                moved.doubt,
            )
        )
    return tuple(found)


def propose_holidays(
    session: Session,
    dates: SeasonDates,
    stretches: Sequence[DatesNext],
    breaks: Sequence[DatesNext],
    answers: Mapping[str, Given],
) -> tuple[HolidayNext, ...]:
    """List the public holidays of the next season that lie in a stretch and in no break.

    One on which there was training as usual is proposed so again; all others wait.
    """
    before, after = _holidays(session, dates)
    kept = set(session.scalars(select(TrainingHolidayRow.day)))
    usual = {
        again.day
        for one in before
        if one.day in kept and (again := find_again(one, dates.shift, after)) is not None
    }
    found = []
    for holiday in after:
        if not _holds(stretches, holiday.day) or _holds(breaks, holiday.day):
            continue
        item = f"holiday-{holiday.day.isoformat()}"
        given = answers.get(item, {})
        proposed = "train" if holiday.day in usual else "later"
        choice = given.get("choice", proposed)
        found.append(
            HolidayNext(holiday.day, holiday.name, item, choice, proposed, digest_of(given))
        )
    return tuple(found)


def typed_about_dates(shown: DatesNext, typed: Given) -> Given:
    """Return what was typed about a stretch or a break as far as it is not what is proposed."""
    return {name: value for name, value in typed.items() if value != shown.proposed[name]}


def date_problems(
    stretches: Sequence[DatesNext], breaks: Sequence[DatesNext], others: Sequence[StretchRow]
) -> Iterator[Problem]:
    """Yield dates that run backwards or meet, and names that are taken.

    Args:
        stretches: Those of the next season.
        breaks: Its breaks.
        others: Stretches in the records, which stay.
    """
    for one in (*stretches, *breaks):
        yield from _problems_of(one)
    going = [one for one in stretches if not one.is_left_out]
    keys = {row.key for row in others}
    for one in going:
        key = key_from_name(one.becomes)
        if one.becomes.strip() and key in keys:
            words = _(
                "There is a stretch “%(name)s” already; choose another name.", name=one.becomes
            )
            yield Problem(f"{one.item}-name", "taken", words)
        keys.add(key)
    held = [(row.name, row.starts_on, row.ends_on) for row in others]
    for one in going:
        if one.first is None or one.last is None:
            continue
        for name, first, last in held:
            if first <= one.last and one.first <= last:
                words = _(
                    "%(name)s holds some dates of %(other)s; end it before the other begins.",
                    name=name,
                    other=one.becomes,
                )
                yield Problem(f"{one.item}-first", "overlap", words)
        held.append((one.becomes, one.first, one.last))


def _problems_of(one: DatesNext) -> Iterator[Problem]:
    if one.is_left_out:
        return
    if not one.becomes.strip():
        yield Problem(f"{one.item}-name", "missing", _("%(name)s: enter a name.", name=one.name))
    for field, day in (("first", one.first), ("last", one.last)):
        if day is None or not EARLIEST <= day <= LATEST:
            words = _("%(name)s: enter the date as year-month-day, like 2026-11-25.", name=one.name)
            yield Problem(f"{one.item}-{field}", "date", words)
            return
    if one.days is not None and not 0 <= one.days <= LONGEST_DAYS:
        words = _(
            "%(name)s: the last date must follow the first, by at most %(longest_days)s days.",
            name=one.name,
            longest_days=LONGEST_DAYS,
        )
        yield Problem(f"{one.item}-last", "order", words)


def own_seasons(
    session: Session, dates: SeasonDates, today: date
) -> tuple[tuple[SquadSeasonRow, ...], tuple[SquadSeasonRow, ...]]:
    """Return the squads' own seasons: those that are over and move, and those that still run.

    A season that runs would end today if its dates moved: they are set when it is over.
    """
    if not dates.stretches:
        return (), ()
    is_over = _last(dates) < today
    moving: list[SquadSeasonRow] = []
    running: list[SquadSeasonRow] = []
    rows = select(SquadSeasonRow).options(selectinload(SquadSeasonRow.squad))
    for row in session.scalars(rows):
        last = row.ends_on or row.starts_on
        if last is None or last < dates.stretches[0].starts_on:
            continue
        is_done = is_over or (row.ends_on is not None and row.ends_on < today)
        (moving if is_done else running).append(row)
    return tuple(moving), tuple(running)


def day_from_text(text: str) -> date | None:
    """Return a date as forms send it; None for anything else."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _dates_next(
    row: StretchRow | BreakRow,
    item: str,
    answers: Mapping[str, Given],
    name: str,
    moved: tuple[date, date],
    doubt: str = "",
) -> DatesNext:
    given = answers.get(item, {})
    proposed = {"name": name, "first": str(moved[0]), "last": str(moved[1]), "drop": ""}
    shown = {**proposed, **given}
    return DatesNext(
        number=row.id,
        name=row.name,
        was_from=row.starts_on,
        was_until=row.ends_on,
        item=item,
        shown=shown,
        proposed=proposed,
        first=day_from_text(shown["first"]),
        last=day_from_text(shown["last"]),
        is_left_out=shown["drop"] == DROPPED,
        doubt=doubt,
        was=digest_of(given),
    )


def _break_name(row: BreakRow, dates: SeasonDates) -> str:
    """Return what a break is called next season: years in its name move, none is added."""
    first, last = row.starts_on + dates.shift, row.ends_on + dates.shift
    moved = name_on(row.name, dates.years, first, last)
    return row.name if moved.startswith(f"{row.name} ") else moved


def _holidays(
    session: Session, dates: SeasonDates
) -> tuple[tuple[Holiday, ...], tuple[Holiday, ...]]:
    """Return the public holidays around the season that ends and around the next one."""
    place = session.get(HolidayPlaceRow, 1)
    if place is None or not dates.stretches or not place.country:
        return (), ()
    around = timedelta(days=92)
    first, last = dates.stretches[0].starts_on - around, _last(dates) + around
    if (last + dates.shift).year > LAST_YEAR:
        return (), ()
    before = public_holidays(place.country, place.region, first, last)
    after = public_holidays(place.country, place.region, first + dates.shift, last + dates.shift)
    return before, after


def _last(dates: SeasonDates) -> date:
    return max(row.ends_on for row in dates.stretches)


def _holds(spans: Sequence[DatesNext], day: date) -> bool:
    return any(
        one.first is not None and one.last is not None and one.first <= day <= one.last
        for one in spans
        if not one.is_left_out
    )


def moved_words(one: DatesNext) -> str:
    """Write where a stretch or a break moves: "Mon 6 Sep to Fri 22 Oct 2027"."""
    if one.first is None or one.last is None:
        return ""
    last = f"{short_day(one.last)} {one.last.year}"
    return _("%(starts_on)s to %(last)s", starts_on=short_day(one.first), last=last)
