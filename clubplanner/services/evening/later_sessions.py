"""The later ones of a session: the same people on the same ground at the same time, week by week.

Whoever moves or withdraws a session may mean its later ones as well. Each of them is held to the
rules by itself: one that cannot go along stays where it is and is told, and nobody else has to go.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.rules.book import hindrances
from clubplanner.domain.times.times import (
    TimeRange,
    instant_from_wall,
    minute_from_instant,
    short_day,
)
from clubplanner.language import _, ngettext
from clubplanner.services.places.ruling import case_at
from clubplanner.services.places.scenes import ScenesByDay
from clubplanner.services.rows.bookings.booking_rows import note_change, place_booking
from clubplanner.services.rows.snapshot import WITH_NAMES, booking_from_row
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime, timedelta
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.rules.case import Hindrance
    from clubplanner.services.places.ruling import Overruling
    from clubplanner.store.tables.ground_tables import AreaRow

DAYS_A_WEEK = 7


@dataclass(frozen=True, slots=True)
class Stays:
    """A later session that cannot go along.

    Attributes:
        day: Its date, short.
        why: The rule that stands in the way, a sentence.
    """

    day: str
    why: str


@dataclass(frozen=True, slots=True)
class LaterSessions:
    """What becomes of the later ones.

    Attributes:
        count: How many go along.
        last_day: The date of the last of them all, short; its weekday is that of each.
        stays: Those that cannot, by date.
    """

    count: int
    last_day: str
    stays: tuple[Stays, ...]

    @property
    def words(self) -> str:
        """What was done, to go on with after a semicolon."""
        done = ngettext(
            "%(num)s later session as well", "%(num)s later sessions as well", self.count
        )
        return "; ".join(
            (
                done,
                *(
                    _("%(day)s stays: %(why)s", day=one.day, why=one.why.rstrip("."))
                    for one in self.stays
                ),
            )
        )


def find_later(session: Session, row: BookingRow, zone: ZoneInfo) -> list[BookingRow]:
    """Return the live bookings after one that are like it, by date.

    Like it are those of the same squad, or of the same holder where it is no squad's, for the same
    purpose on the same area, on the same weekday from and to the same local time.
    """
    who = (
        (BookingRow.squad_id == row.squad_id,)
        if row.squad_id is not None
        else (BookingRow.squad_id.is_(None), BookingRow.written_holder == row.written_holder)
    )
    rows = session.scalars(
        select(BookingRow)
        .where(
            *who,
            BookingRow.area_id == row.area_id,
            BookingRow.purpose == row.purpose,
            BookingRow.is_withdrawn.is_(False),
            BookingRow.starts_at > row.starts_at,
        )
        .order_by(BookingRow.starts_at)
        .options(*WITH_NAMES)
    )
    slot = _slot(row, zone)
    return [one for one in rows if _slot(one, zone) == slot]


def foresee_later(
    session: Session,
    row: BookingRow,
    area: AreaRow,
    during: TimeRange,
    overruling: Overruling,
    zone: ZoneInfo,
) -> LaterSessions | None:
    """Say which later ones could go along to an area and time; nothing is changed.

    Args:
        session: An open session in which the booking stands where it is now.
        row: The booking that is moved.
        area: Where to.
        during: When; the later ones go as many days on and to the same local time.
        overruling: What would be overruled for each of them.
        zone: The club's.

    Returns:
        None where there are none, or where the booking goes to another week.
    """
    later = find_later(session, row, zone)
    was = TimeRange(row.starts_at, row.ends_at)
    return foresee_all(session, later, was, area, during, overruling, zone)


def foresee_all(
    session: Session,
    later: Sequence[BookingRow],
    was: TimeRange,
    area: AreaRow,
    during: TimeRange,
    overruling: Overruling,
    zone: ZoneInfo,
) -> LaterSessions | None:
    """Say what `move_later` would make of some bookings; nothing is changed."""
    moves = _moves(later, was, during, zone)
    if not moves:
        return None
    scenes = _scenes(session, moves, zone)
    stays = [
        _stays(one, found, zone)
        for one, to in moves
        if not _may(found := _hindrances(scenes, one, area, to, zone), overruling)
    ]
    return _told(later, zone, len(moves) - len(stays), stays)


def move_later(
    session: Session,
    later: Sequence[BookingRow],
    was: TimeRange,
    area: AreaRow,
    during: TimeRange,
    overruling: Overruling,
    now: datetime,
    zone: ZoneInfo,
) -> LaterSessions | None:
    """Move the later ones of a booking along with it, as far as no rule stands in the way.

    Args:
        session: The open write session, in which the booking stands where it went.
        later: The later ones, found before it was moved.
        was: When the booking was before.
        area: Where it went.
        during: When it is now.
        overruling: What is overruled for each of them as for the booking.
        now: The present instant.
        zone: The club's.

    Returns:
        What became of them; None where there are none.
    """
    moves = _moves(later, was, during, zone)
    if not moves:
        return None
    told = _told(later, zone, 0, ())
    scenes = _scenes(session, moves, zone)
    stays = []
    for one, to in moves:
        found = _hindrances(scenes, one, area, to, zone)
        if not _may(found, overruling):
            stays.append(_stays(one, found, zone))
            continue
        place_booking(session, one, area, to)
        one.overruled = overruling.because if found else ""
        one.is_fixed = True
        note_change(one, now)
        scenes.put(booking_from_row(one))
    return LaterSessions(len(moves) - len(stays), told.last_day, tuple(stays))


def withdraw_later(
    later: Sequence[BookingRow], now: datetime, zone: ZoneInfo
) -> LaterSessions | None:
    """Give the ground of the later ones back as well; None where there are none."""
    for one in later:
        one.is_withdrawn = True
        note_change(one, now)
    return _told(later, zone, len(later), ()) if later else None


def count_later(later: Sequence[BookingRow], zone: ZoneInfo) -> LaterSessions | None:
    """Tell of the later ones before anything is chosen; None where there are none."""
    return _told(later, zone, len(later), ()) if later else None


def _told(
    later: Sequence[BookingRow], zone: ZoneInfo, count: int, stays: Sequence[Stays]
) -> LaterSessions:
    return LaterSessions(count, short_day(_day(later[-1], zone)), tuple(stays))


def _moves(
    later: Sequence[BookingRow], was: TimeRange, during: TimeRange, zone: ZoneInfo
) -> list[tuple[BookingRow, TimeRange]]:
    """Return when each would be; none of them when the first goes to another week.

    A week on is where the next one stands: then a session is put off, not a habit changed.
    """
    old, new = (one.starts_at.astimezone(zone).date() for one in (was, during))
    if abs((new - old).days) >= DAYS_A_WEEK:
        return []
    start_min = minute_from_instant(during.starts_at, new, zone)
    length = during.ends_at - during.starts_at
    moves = []
    for one in later:
        start = instant_from_wall(_day(one, zone) + (new - old), start_min, zone)
        moves.append((one, TimeRange(start, start + length)))
    return moves


def _scenes(
    session: Session, moves: Sequence[tuple[BookingRow, TimeRange]], zone: ZoneInfo
) -> ScenesByDay:
    days = [to.starts_at.astimezone(zone).date() for _one, to in moves]
    return ScenesByDay(session, min(days), max(days))


def _hindrances(
    scenes: ScenesByDay, row: BookingRow, area: AreaRow, during: TimeRange, zone: ZoneInfo
) -> tuple[Hindrance, ...]:
    booking = booking_from_row(row)
    scene = scenes.on(during.starts_at.astimezone(zone).date())
    pitch = scene.pitches[area.pitch.key]
    return hindrances(case_at(scene, booking, pitch, pitch.area(area.key), during, booking.during))


def _may(found: Sequence[Hindrance], overruling: Overruling) -> bool:
    return not found or overruling.covers(found)


def _stays(row: BookingRow, found: Sequence[Hindrance], zone: ZoneInfo) -> Stays:
    return Stays(short_day(_day(row, zone)), found[0].words)


def _day(row: BookingRow, zone: ZoneInfo) -> date:
    return row.starts_at.astimezone(zone).date()


def _slot(row: BookingRow, zone: ZoneInfo) -> tuple[int, int, timedelta]:
    day = _day(row, zone)
    start = minute_from_instant(row.starts_at, day, zone)
    return day.weekday(), start, row.ends_at - row.starts_at
