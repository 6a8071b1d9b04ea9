"""The season at a look: weeks × squads, with breaks, closures and dark evenings."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.times.light import usable_from, usable_until
from clubplanner.domain.times.times import MINUTES_A_DAY, day_and_month, instant_from_wall
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.rows.own_club import own_squads
from clubplanner.services.rows.seasons.stretches import find_stretch
from clubplanner.services.rows.snapshot import (
    load_breaks,
    load_club,
    load_squads,
    load_stretches,
    load_venues,
)
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import PitchRow
from clubplanner.store.tables.squad_tables import AskRow, SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.domain.times.seasons import Break, Stretch
    from clubplanner.store.engine import Store

MOST_WEEKS = 60


@dataclass(frozen=True, slots=True)
class WeekHead:
    """A column.

    Attributes:
        monday: The week's Monday.
        day: The Monday as a short date, "12 Apr".
        breaks: The breaks that touch it.
        closed: How many times ground is closed in it.
        is_now: Whether today lies in it.
    """

    monday: date
    day: str
    breaks: tuple[str, ...]
    closed: int
    is_now: bool


@dataclass(frozen=True, slots=True)
class WeekCell:
    """A squad's week.

    Attributes:
        count: How many sessions and matches.
        dark: How many of them begin or end in the dark.
        is_short: Whether it is less than asked for, in a week without a break.
    """

    count: int
    dark: int
    is_short: bool


@dataclass(frozen=True, slots=True)
class SquadWeeks:
    """A row: a squad, what it asks for, and its weeks."""

    key: str
    name: str
    asked: int
    cells: tuple[WeekCell, ...]


@dataclass(frozen=True, slots=True)
class SeasonWeeks:
    """What the page shows.

    Attributes:
        stretches: Key and name of each.
        key: The stretch shown.
        heads: Its weeks.
        rows: The squads, in the club's order.
    """

    stretches: tuple[tuple[str, str], ...]
    key: str
    heads: tuple[WeekHead, ...]
    rows: tuple[SquadWeeks, ...]


def see_season_weeks(
    store: Store, key: str | None, now: datetime, only: Collection[str] | None = None
) -> SeasonWeeks:
    """Show a stretch week by week.

    Args:
        store: The database.
        key: Which stretch; None for the present one, else the next, else the last.
        now: The present instant.
        only: Keys of the squads that are asked about; None for all.

    Raises:
        MissingError: If there is no such stretch, or none at all.
    """
    with store.read() as session:
        zone = load_club(session).time_zone
        today = now.astimezone(zone).date()
        stretches = load_stretches(session)
        if not stretches:
            raise MissingError(_("There is no stretch of the season yet; load the settings."))
        stretch = find_stretch(session, key) if key else _current(stretches, today)
        mondays = _mondays(stretch)
        booked = _booked(session, mondays, zone, only)
        venues = load_venues(session)
        own = set(session.scalars(select(SquadRow.key).where(*own_squads(session))))
        squads = [squad for squad in load_squads(session) if squad.key in own]
        asked = _asked(session)
        breaks = load_breaks(session)
    counts, dark, closed = _count(booked, venues, zone)
    heads = tuple(
        WeekHead(
            monday,
            day_and_month(monday),
            tuple(gap.name for gap in breaks if _touches(gap, monday)),
            closed[monday],
            monday <= today < monday + timedelta(weeks=1),
        )
        for monday in mondays
    )
    return SeasonWeeks(
        stretches=tuple((one.key, one.name) for one in stretches),
        key=stretch.key,
        heads=heads,
        rows=tuple(
            SquadWeeks(
                squad.key,
                squad.name,
                asked[squad.key],
                tuple(
                    WeekCell(
                        counts[squad.key, head.monday],
                        dark[squad.key, head.monday],
                        not head.breaks
                        and _is_whole(stretch, head.monday)
                        and counts[squad.key, head.monday] < asked[squad.key],
                    )
                    for head in heads
                ),
            )
            for squad in squads
            if only is None or squad.key in only
        ),
    )


@dataclass(frozen=True, slots=True)
class _Booked:
    squad_key: str | None
    pitch_key: str
    starts_at: datetime
    ends_at: datetime
    purpose: Purpose


def _current(stretches: Sequence[Stretch], today: date) -> Stretch:
    ahead = [one for one in stretches if one.ends_on >= today]
    return ahead[0] if ahead else stretches[-1]


def _mondays(stretch: Stretch) -> list[date]:
    first = stretch.starts_on - timedelta(days=stretch.starts_on.weekday())
    count = min((stretch.ends_on - first).days // 7 + 1, MOST_WEEKS)
    return [first + timedelta(weeks=n) for n in range(count)]


def _booked(
    session: Session, mondays: Sequence[date], zone: ZoneInfo, only: Collection[str] | None
) -> list[_Booked]:
    """Read what squads have in those weeks and what is closed, by few columns."""
    start = instant_from_wall(mondays[0], 0, zone)
    end = instant_from_wall(mondays[-1], 7 * MINUTES_A_DAY, zone)
    query = (
        select(
            SquadRow.key,
            PitchRow.key,
            BookingRow.starts_at,
            BookingRow.ends_at,
            BookingRow.purpose,
        )
        .join(BookingRow.pitch)
        .outerjoin(BookingRow.squad)
        .where(
            BookingRow.is_withdrawn.is_(False),
            BookingRow.starts_at >= start,
            BookingRow.starts_at < end,
        )
    )
    if only is None:
        return [_Booked(*found) for found in session.execute(query)]
    theirs = query.where(SquadRow.key.in_(only))
    closed = query.where(BookingRow.purpose == Purpose.CLOSED, BookingRow.squad_id.is_(None))
    return [_Booked(*found) for part in (theirs, closed) for found in session.execute(part)]


def _asked(session: Session) -> Counter[str]:
    query = select(SquadRow.key, AskRow.sessions).join(AskRow.squad)
    asked: Counter[str] = Counter()
    for key, sessions in session.execute(query):
        asked[key] += sessions
    return asked


def _count(
    booked: Sequence[_Booked], venues: Sequence[Venue], zone: ZoneInfo
) -> tuple[Counter[tuple[str, date]], Counter[tuple[str, date]], Counter[date]]:
    """Count sessions, dark endings and closures by week."""
    counts: Counter[tuple[str, date]] = Counter()
    dark: Counter[tuple[str, date]] = Counter()
    closed: Counter[date] = Counter()
    pitches = {pitch.key: (pitch, venue) for venue in venues for pitch in venue.pitches}
    light: dict[tuple[str, date], tuple[datetime | None, datetime | None]] = {}
    for one in booked:
        day = one.starts_at.astimezone(zone).date()
        monday = day - timedelta(days=day.weekday())
        if one.squad_key is None:
            closed[monday] += one.purpose is Purpose.CLOSED
            continue
        counts[one.squad_key, monday] += 1
        pitch, venue = pitches[one.pitch_key]
        if (one.pitch_key, day) not in light:
            here = pitch, venue, day, zone
            light[one.pitch_key, day] = usable_from(*here), usable_until(*here)
        dawn, limit = light[one.pitch_key, day]
        is_early = dawn is not None and one.starts_at < dawn
        dark[one.squad_key, monday] += is_early or (limit is not None and limit < one.ends_at)
    return counts, dark, closed


def _touches(gap: Break, monday: date) -> bool:
    return gap.starts_on <= monday + timedelta(days=6) and gap.ends_on >= monday


def _is_whole(stretch: Stretch, monday: date) -> bool:
    return stretch.starts_on <= monday and monday + timedelta(days=6) <= stretch.ends_on
