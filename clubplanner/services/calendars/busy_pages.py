"""Pages about calendars of others: the list, and what one would displace."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from sqlalchemy import select

from clubplanner.domain.times.times import TimeRange, clock_in_zone, short_day
from clubplanner.language import _
from clubplanner.services.calendars.busy_calendars import (
    booked_rows,
    holders_of,
    is_movable,
    load_calendar,
    pending,
)
from clubplanner.services.places.closure_list import span_in_words
from clubplanner.services.places.displaced import foresee_displaced
from clubplanner.services.rows.bookings.booking_rows import clashes_from_rows
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.showing.states.conditions import place_name
from clubplanner.store.tables.busy_tables import BusyCalendarRow

if TYPE_CHECKING:
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.busy import BusyPiece
    from clubplanner.services.places.displaced import Displaced
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.booking_tables import BookingRow

MOST_PROBLEMS = 20


@dataclass(frozen=True, slots=True)
class BusyLine:
    """A calendar in the list.

    Attributes:
        number: The calendar's number.
        name: Whose.
        place: The ground it holds.
        source: Where it comes from; of an address only the computer's name.
        read: When it was last read, in words.
        read_at: The same; None for not yet.
        booked: How many times ahead are booked.
        waiting: How many wait for a decision.
        problems: How many faults the last reading had.
    """

    number: int
    name: str
    place: str
    source: str
    read: str
    read_at: datetime | None
    booked: int
    waiting: int
    problems: int


@dataclass(frozen=True, slots=True)
class BusyPage:
    """One calendar.

    Attributes:
        line: As in the list.
        problems: What could not be read, in words.
        times: Times that wait, in words.
        displaced: The sessions that would have to go, with places for them.
        held: Times that cannot be booked, since ground is held that is not ours to move.
    """

    line: BusyLine
    problems: tuple[str, ...]
    times: tuple[str, ...]
    displaced: tuple[Displaced, ...]
    held: tuple[str, ...]


def list_busy_calendars(store: Store, now: datetime) -> tuple[BusyLine, ...]:
    """Return the calendars that count, by name."""
    with store.read() as session:
        rows = session.scalars(
            select(BusyCalendarRow)
            .where(BusyCalendarRow.ended_at.is_(None))
            .order_by(BusyCalendarRow.name, BusyCalendarRow.id)
        ).all()
        return tuple(_line(session, row, now) for row in rows)


def see_busy_calendar(store: Store, number: int, now: datetime) -> BusyPage:
    """Show what a calendar would displace, and where each session can go; nothing is changed.

    Raises:
        MissingError: If it is not there or has ended.
    """
    with store.read() as session:
        row = load_calendar(session, number)
        zone = load_zone(session)
        days: dict[date, list[BusyPiece]] = defaultdict(list)
        held: list[str] = []
        for piece in pending(session, row, now):
            fixed = [h for h in holders_of(session, row, piece) if not is_movable(h)]
            if fixed:
                clash = clashes_from_rows(session, fixed)[0]
                held.append(f"{_piece_words(piece, zone)}: {clash.sentence}")
            else:
                days[piece.during.starts_at.astimezone(zone).date()].append(piece)
        displaced = [one for pieces in days.values() for one in _foresee(session, row, pieces, now)]
        return BusyPage(
            _line(session, row, now),
            tuple(
                f"{where}: {words}" if where else words for where, _unused, words in row.problems
            )[:MOST_PROBLEMS],
            tuple(_piece_words(piece, zone) for pieces in days.values() for piece in pieces),
            tuple(displaced),
            tuple(held),
        )


def _foresee(
    session: Session, row: BusyCalendarRow, pieces: list[BusyPiece], now: datetime
) -> tuple[Displaced, ...]:
    """Foresee one day: none of it goes to ground and time that the calendar wants that day."""
    rows: dict[int, BookingRow] = {}
    for piece in pieces:
        rows.update((holder.id, holder) for holder in holders_of(session, row, piece))
    span = TimeRange(pieces[0].during.starts_at, max(piece.during.ends_at for piece in pieces))
    area = row.area
    return foresee_displaced(session, list(rows.values()), area.pitch.key, area.cells, span, now)


def _line(session: Session, row: BusyCalendarRow, now: datetime) -> BusyLine:
    zone = load_zone(session)
    read = _("not yet read")
    if row.read_at is not None:
        day = short_day(row.read_at.astimezone(zone).date())
        read = _("read %(day)s, %(read_at)s", day=day, read_at=clock_in_zone(row.read_at, zone))
    return BusyLine(
        number=row.id,
        name=row.name,
        place=place_name(row.area),
        source=urlsplit(row.url).hostname or _("an address") if row.url else _("a file"),
        read=read,
        read_at=row.read_at,
        booked=len(booked_rows(session, row.id, now)),
        waiting=len(pending(session, row, now)),
        problems=len(row.problems),
    )


def _piece_words(piece: BusyPiece, zone: ZoneInfo) -> str:
    words = span_in_words(piece.during, zone)
    return f"{words}, {piece.title}" if piece.title else words
