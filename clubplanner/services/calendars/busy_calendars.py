"""A venue's or hirer's calendar as bookings: free ground is taken, displacing is shown first."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import or_, select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.busy import BusyPiece, compare_busy, join_busy
from clubplanner.domain.problems import Problem
from clubplanner.domain.times.times import TimeRange
from clubplanner.errors import MissingError, RefusedError
from clubplanner.inputs.calendars.busy import read_busy
from clubplanner.language import _, ngettext
from clubplanner.services.calendars.fetching import Fetched, Marks, fetch_calendar
from clubplanner.services.places.displaced import place_settled, settle_displaced
from clubplanner.services.rows.bookings.booking_rows import (
    BookingWish,
    find_holders,
    insert_booking,
    load_area,
    note_change,
)
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.busy_tables import BusyBookingRow, BusyCalendarRow

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.services.calendars.fetching import Fetch, Unchanged
    from clubplanner.store.engine import Store


AHEAD = timedelta(days=400)
"""How far ahead busy times count."""
EVERY = timedelta(hours=1)
"""How often a calendar is read again."""
TAKEN_FOR = timedelta(minutes=5)
"""How long a worker may take to read one before another takes it up: far longer than it can."""
LARGEST_BYTES = 5_000_000
LONGEST_NAME = 80


@dataclass(frozen=True, slots=True)
class BusyWish:
    """A calendar somebody wants read.

    Attributes:
        name: Whose, in words; stands as the holder of its bookings.
        area_id: The ground that it holds.
        url: Where it is; blank when a file is given.
        data: The file; None when an address is given.
    """

    name: str
    area_id: int
    url: str = field(default="", repr=False)
    data: bytes | None = None


@dataclass(frozen=True, slots=True)
class BusyDone:
    """What reading a calendar changed.

    Attributes:
        number: The calendar's number.
        booked: Busy times that were free ground and are booked now.
        given_back: Bookings that the calendar no longer has.
        waiting: Busy times that would displace somebody: a person decides.
        problems: What could not be read, in words.
    """

    number: int
    booked: int
    given_back: int
    waiting: int
    problems: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """The same for a person."""
        words = ngettext(
            "%(num)s time booked, %(given_back)s given back.",
            "%(num)s times booked, %(given_back)s given back.",
            self.booked,
            given_back=self.given_back,
        )
        if self.waiting:
            words += " " + ngettext(
                "%(num)s would displace somebody: look and decide.",
                "%(num)s would displace somebody: look and decide on each.",
                self.waiting,
            )
        return words


def add_busy_calendar(
    store: Store, wish: BusyWish, now: datetime, fetch: Fetch = fetch_calendar
) -> BusyDone:
    """Take a calendar in and read it for the first time; one that cannot be read leaves nothing.

    Raises:
        MissingError: If the area is gone.
        RefusedError: If something typed cannot be used, or nothing can be read there.
    """
    name = wish.name.strip()
    if not name or len(name) > LONGEST_NAME:
        raise RefusedError(
            _(
                "Enter whose calendar it is, in at most %(longest_name)s characters.",
                longest_name=LONGEST_NAME,
            )
        )
    if bool(wish.url.strip()) == bool(wish.data):
        raise RefusedError(_("Give the calendar's address or its file, one of the two."))
    if wish.data is not None and len(wish.data) > LARGEST_BYTES:
        raise RefusedError(_("The calendar is larger than 5 MB; export less of it."))
    url, found = wish.url.strip(), None
    if url:
        with store.read() as session:
            load_area(session, wish.area_id)  # before anybody is asked for anything
        found = fetch(url, Marks())
    with store.write() as session:
        row = BusyCalendarRow(
            name=name,
            area_id=load_area(session, wish.area_id).id,
            url=url,
            data=wish.data,
            etag="",
            modified="",
            problems=[],
            tried_at=None,
            read_at=now if wish.data else None,
            ended_at=None,
        )
        session.add(row)
        session.flush()
        done = _apply(session, row, found, now)
        if _is_unread(row):
            raise RefusedError(done.problems[0])
        return done


def refresh_calendar(
    store: Store, number: int, now: datetime, fetch: Fetch = fetch_calendar
) -> BusyDone:
    """Read a calendar again and book what displaces nobody.

    When it cannot be fetched, what was read last goes on to count.

    Raises:
        MissingError: If it is not there or no longer counts.
    """
    with store.read() as session:
        row = load_calendar(session, number)
        url, marks = row.url, Marks(row.etag, row.modified)
    found = fetch(url, marks) if url else None
    with store.write() as session:
        return _apply(session, load_calendar(session, number), found, now)


def due_calendars(store: Store, now: datetime) -> list[int]:
    """Return the numbers of the calendars that are to be read again, the longest unread first."""
    with store.read() as session:
        rows = session.execute(
            select(BusyCalendarRow.id, BusyCalendarRow.tried_at)
            .where(BusyCalendarRow.ended_at.is_(None), BusyCalendarRow.url != "")
            .order_by(BusyCalendarRow.tried_at)
        )
        return [number for number, tried in rows if tried is None or tried <= now - EVERY]


def take_due_calendar(store: Store, now: datetime) -> int | None:
    """Take the calendar that is the longest unread and due, so that no other worker reads it too.

    Whoever dies with it leaves it to be taken again after `TAKEN_FOR`.

    Returns:
        Its number, or None for none that is due.
    """
    if not due_calendars(store, now):
        return None
    with store.write(in_passing=True) as session:
        row = session.scalars(
            select(BusyCalendarRow)
            .where(
                BusyCalendarRow.ended_at.is_(None),
                BusyCalendarRow.url != "",
                or_(BusyCalendarRow.tried_at.is_(None), BusyCalendarRow.tried_at <= now - EVERY),
            )
            .order_by(BusyCalendarRow.tried_at.asc().nulls_first(), BusyCalendarRow.id)
            .limit(1)
        ).first()
        if row is None:
            return None
        row.tried_at = now - EVERY + TAKEN_FOR
        return row.id


def decide_busy(store: Store, number: int, decisions: Mapping[int, str], now: datetime) -> BusyDone:
    """Book the times that displace somebody, as a person has decided for each session.

    Args:
        store: The database.
        number: The calendar.
        decisions: Booking number → the chosen place's value, or `displaced.WITHDRAW`.
        now: The present instant.

    Raises:
        ClashError: If a chosen place has been taken, or ground is held that nobody can give up.
        MissingError: If the calendar is not there or a decision cannot be read.
        OutdatedError: If a session has come since the person looked.
    """
    with store.write() as session:
        row = load_calendar(session, number)
        pieces = [piece for piece in pending(session, row, now) if not _fixed(session, row, piece)]
        rows: dict[int, BookingRow] = {}
        for piece in pieces:
            rows.update((held.id, held) for held in holders_of(session, row, piece))
        settled = settle_displaced(session, list(rows.values()), decisions, now)
        for piece in pieces:
            _book(session, row, piece, now)
        outcome = place_settled(session, settled)
        describe_change(
            session, _("booked %(name)s's times; %(outcome)s", name=row.name, outcome=outcome.words)
        )
        return BusyDone(number, len(pieces), 0, 0, ())


def end_calendar(store: Store, number: int, now: datetime) -> int:
    """Stop reading a calendar and give back what it holds from now on.

    Returns:
        How many bookings were given back.

    Raises:
        MissingError: If it is not there or has ended already.
    """
    with store.write() as session:
        row = load_calendar(session, number)
        row.ended_at, row.url, row.data = now, "", None
        rows = booked_rows(session, row.id, now)
        _give_back(rows, now)
        describe_change(session, _("no longer reads the calendar of %(name)s", name=row.name))
        return len(rows)


def load_calendar(session: Session, number: int) -> BusyCalendarRow:
    """Return a calendar that counts.

    Raises:
        MissingError: If there is none of that number, or it has ended.
    """
    row = session.get(BusyCalendarRow, number)
    if row is None or row.ended_at is not None:
        raise MissingError(
            _("There is no such calendar (any more); look at the list of calendars.")
        )
    return row


def pending(session: Session, row: BusyCalendarRow, now: datetime) -> tuple[BusyPiece, ...]:
    """Return the busy times of a calendar that are not booked."""
    wanted, _unused = _wanted(session, row, now)
    return compare_busy(_booked(session, row.id, now), wanted).fresh


def holders_of(session: Session, row: BusyCalendarRow, piece: BusyPiece) -> list[BookingRow]:
    """Return who holds ground that a busy time needs, by start."""
    return find_holders(session, row.area.pitch_id, row.area.cells, piece.during)


def is_movable(holder: BookingRow) -> bool:
    """Tell whether a booking can be displaced: a squad's, but no hire and no closure."""
    return holder.squad_id is not None


def booked_rows(session: Session, calendar_id: int, now: datetime) -> list[BookingRow]:
    """Return a calendar's live bookings that are not over."""
    return list(
        session.scalars(
            select(BookingRow)
            .join(BusyBookingRow, BusyBookingRow.booking_id == BookingRow.id)
            .where(
                BusyBookingRow.calendar_id == calendar_id,
                BookingRow.is_withdrawn.is_(False),
                *BookingRow.not_over(now),
            )
            .order_by(BookingRow.starts_at)
        )
    )


def _is_unread(row: BusyCalendarRow) -> bool:
    return row.data is None or any(code == "no-calendar" for _unused, code, _unused in row.problems)


def _keep(row: BusyCalendarRow, found: Fetched | Unchanged | Problem, now: datetime) -> None:
    row.tried_at = now
    if isinstance(found, Fetched):
        row.data, row.read_at = found.data, now
        row.etag, row.modified, row.problems = found.marks.etag, found.marks.last_modified, []
    elif isinstance(found, Problem):
        row.problems = [[found.where, found.code, found.message]]
    else:
        row.read_at, row.problems = now, []


def _apply(
    session: Session,
    row: BusyCalendarRow,
    found: Fetched | Unchanged | Problem | None,
    now: datetime,
) -> BusyDone:
    """Keep what was fetched, give back what is gone, and book what is free: all of it or nothing.

    So whoever dies in between leaves the calendar due.
    """
    if found is not None:
        _keep(row, found, now)
    wanted, problems = _wanted(session, row, now)
    if problems:
        kept = [p for p in row.problems if p[1] not in {q.code for q in problems}]
        row.problems = [*kept, *([p.where, p.code, p.message] for p in problems)]
    if row.data is None or any(p.code == "no-calendar" for p in problems):
        return BusyDone(row.id, 0, 0, 0, _words(row))
    difference = compare_busy(_booked(session, row.id, now), wanted)
    _give_back([session.get_one(BookingRow, n) for n in difference.gone], now)
    session.flush()
    booked = 0
    for piece in difference.fresh:
        if not holders_of(session, row, piece):
            _book(session, row, piece, now)
            booked += 1
    describe_change(session, _("read the calendar of %(name)s", name=row.name))
    waiting = len(difference.fresh) - booked
    return BusyDone(row.id, booked, len(difference.gone), waiting, _words(row))


def _wanted(
    session: Session, row: BusyCalendarRow, now: datetime
) -> tuple[tuple[BusyPiece, ...], tuple[Problem, ...]]:
    if row.data is None:
        return (), ()
    zone = load_zone(session)
    reading = read_busy(row.data, row.name, TimeRange(now, now + AHEAD), zone)
    pieces = join_busy(((time.during, time.title) for time in reading.times), zone)
    return tuple(piece for piece in pieces if piece.during.ends_at > now), reading.problems


def _booked(session: Session, calendar_id: int, now: datetime) -> dict[int, BusyPiece]:
    return {
        row.id: BusyPiece(TimeRange(row.starts_at, row.ends_at), row.note)
        for row in booked_rows(session, calendar_id, now)
    }


def _fixed(session: Session, row: BusyCalendarRow, piece: BusyPiece) -> bool:
    return any(not is_movable(holder) for holder in holders_of(session, row, piece))


def _book(session: Session, row: BusyCalendarRow, piece: BusyPiece, now: datetime) -> None:
    wish = BookingWish(
        row.area_id, piece.during, Purpose.HIRE, None, row.name, piece.title, is_fixed=True
    )
    booking = insert_booking(session, wish, now)
    session.add(BusyBookingRow(booking_id=booking.id, calendar_id=row.id))
    session.flush()


def _give_back(rows: list[BookingRow], now: datetime) -> None:
    for row in rows:
        row.is_withdrawn = True
        note_change(row, now)


def _words(row: BusyCalendarRow) -> tuple[str, ...]:
    return tuple(
        f"{where}: {message}" if where else message for where, _unused, message in row.problems
    )
