"""The notice board: a venue's evening for everybody who walks past, once it is turned on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    day_in_words,
    minute_from_instant,
    range_from_wall,
)
from clubplanner.errors import MissingError
from clubplanner.language import _, marked, term
from clubplanner.outputs.drawings.plans.place_plan import draw_place
from clubplanner.outputs.drawings.qr import draw_qr
from clubplanner.outputs.papers.board_sheet import BoardSheet, SheetRow, is_readable, set_sheet
from clubplanner.outputs.tables.table import Column, Kind, Table
from clubplanner.resources import resource_folder
from clubplanner.services.rows.snapshot import load_bookings, load_club, load_venues
from clubplanner.services.showing.ground.plans import times_in_words
from clubplanner.services.showing.states.conditions import conditions_in_words, load_conditions
from clubplanner.services.showing.states.session_states import load_left, load_states
from clubplanner.services.showing.states.state_shown import StateTeller
from clubplanner.store.tables.club_tables import NoticeBoardRow

if TYPE_CHECKING:
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.services.showing.states.state_shown import StateShown
    from clubplanner.store.engine import Store

OFF = marked("There is no notice board here; the secretary has not turned it on.")


@dataclass(frozen=True, slots=True)
class BoardRow:
    """A line of the board.

    Attributes:
        times: Local times.
        who: The squad or whoever else; why, for closed ground.
        where: Area and pitch.
        drawing: The small plan, SVG.
        is_closed: Whether the ground is closed then.
        is_over: Whether it lies in the past.
        is_now: Whether it runs at this moment.
        state: What to say of a session that is not simply on; None for one that is.
        minutes: Begin and end, minutes after the day's local midnight; less than none for what
            began the day before.
    """

    times: str
    who: str
    where: str
    drawing: str
    is_closed: bool
    is_over: bool
    is_now: bool
    state: StateShown | None = None
    minutes: tuple[int, int] = (0, 0)

    @property
    def is_off(self) -> bool:
        """Whether nobody comes here for it: it is off, or elsewhere."""
        return self.state is not None and self.state.is_off


@dataclass(frozen=True, slots=True)
class BoardPage:
    """What the board shows.

    Attributes:
        club_name: The club.
        venue_key: Where.
        venue_name: Where, in words.
        venues: Key and name of every venue.
        day: The local date.
        day_words: The date with its weekday.
        rows: By time.
        notes: Conditions of the ground, a sentence each.
        is_readable: Whether a sheet of it can be read from two metres.
    """

    club_name: str
    venue_key: str
    venue_name: str
    venues: tuple[tuple[str, str], ...]
    day: date
    day_words: str
    rows: tuple[BoardRow, ...]
    notes: tuple[str, ...]
    is_readable: bool


def is_board_on(store: Store) -> bool:
    """Tell whether the secretary has turned the notice board on."""
    with store.read() as session:
        row = session.get(NoticeBoardRow, 1)
        return row is not None and row.is_on


def turn_board(store: Store, *, is_on: bool, now: datetime) -> None:
    """Turn the notice board on or off."""
    with store.write() as session:
        row = session.get(NoticeBoardRow, 1) or NoticeBoardRow(id=1)
        row.is_on, row.changed_at = is_on, now
        session.add(row)


def refuse_when_off(store: Store) -> None:
    """Refuse whoever walks past while the board is off.

    Raises:
        MissingError: If it is.
    """
    if not is_board_on(store):
        raise MissingError(term(OFF))


def see_board(store: Store, venue_key: str | None, day: date, now: datetime) -> BoardPage:
    """Show a venue's evening.

    Args:
        store: The database.
        venue_key: Which venue; None for the first.
        day: The local date.
        now: The present instant.

    Raises:
        MissingError: If there is no such venue.
    """
    with store.read() as session:
        club = load_club(session)
        zone = club.time_zone
        during = range_from_wall(day, 0, MINUTES_A_DAY, zone)
        venues = load_venues(session)
        venue = _find(venues, venue_key)
        pitches = {pitch.key: pitch for pitch in venue.pitches}
        bookings = [b for b in load_bookings(session, during) if b.pitch_key in pitches]
        conditions = load_conditions(session, during)
        left = load_left(session, during)
        states = load_states(session, [*bookings, *left], venues, zone)
    teller = StateTeller(states, venues, zone, now.astimezone(zone).date())
    shown = [(booking, teller.elsewhere(booking)) for booking in bookings]
    shown += teller.missed_here(left, pitches, during)
    rows = tuple(
        _row(venue, booking, now, zone, state, day)
        for booking, state in sorted(
            shown, key=lambda each: (each[0].during.starts_at, each[0].number)
        )
    )
    notes = tuple(
        words for pitch in venue.pitches for words in conditions_in_words(conditions, pitch.key)
    )
    return BoardPage(
        club_name=club.name,
        venue_key=venue.key,
        venue_name=venue.name,
        venues=tuple((v.key, v.name) for v in venues),
        day=day,
        day_words=day_in_words(day),
        rows=rows,
        notes=notes,
        is_readable=is_readable(len(rows), len(notes)),
    )


def print_board(page: BoardPage, address: str, now: datetime, zone: ZoneInfo) -> bytes:
    """Set a board as one sheet of A4.

    Args:
        page: What stands on it.
        address: Where the board as it stands can be seen; blank for no code.
        now: When it is made.
        zone: For that time.
    """
    made = now.astimezone(zone)
    sheet = BoardSheet(
        club=page.club_name,
        venue=page.venue_name,
        day=page.day_words,
        rows=tuple(_sheet_row(row) for row in page.rows),
        notes=page.notes,
        code=draw_qr(address, _("%(venue_name)s as it stands now", venue_name=page.venue_name))
        if address
        else "",
        foot=_("As it stands now: scan the square.") if address else "",
        made=_(
            "Made %(day)s, %(time)s.", day=day_in_words(made.date()), time=made.strftime("%H:%M")
        ),
    )
    source = (resource_folder("web") / "templates" / "evening" / "board_sheet.typ").read_text(
        "utf-8"
    )
    return set_sheet(sheet, source, (str(resource_folder("web") / "static" / "fonts"),), now)


def _sheet_row(row: BoardRow) -> SheetRow:
    words = "" if row.state is None else _state_in_words(row.state)
    return SheetRow(
        row.times, row.who, row.where, row.drawing, row.is_closed, words, is_off=row.is_off
    )


def _find(venues: tuple[Venue, ...], key: str | None) -> Venue:
    for venue in venues:
        if key is None or venue.key == key:
            return venue
    raise MissingError(_("There is no such venue."))


def _row(
    venue: Venue,
    booking: Booking,
    now: datetime,
    zone: ZoneInfo,
    state: StateShown | None,
    day: date,
) -> BoardRow:
    pitch = next(pitch for pitch in venue.pitches if pitch.key == booking.pitch_key)
    area = pitch.area(booking.area_key)
    where = area.name if pitch.name in area.name else f"{area.name}, {pitch.name}"
    is_closed = booking.purpose is Purpose.CLOSED
    is_off = state is not None and state.is_off
    return BoardRow(
        times=times_in_words(booking, zone),
        who=booking.holder,
        where=where,
        drawing=draw_place(
            pitch, area.polygon, _("Where %(where)s is", where=where), is_closed=is_closed or is_off
        ),
        is_closed=is_closed,
        is_over=booking.during.ends_at <= now,
        is_now=booking.during.contains(now) and not is_off,
        state=state,
        minutes=(
            minute_from_instant(booking.during.starts_at, day, zone),
            minute_from_instant(booking.during.ends_at, day, zone),
        ),
    )


def board_tables(page: BoardPage) -> tuple[Table, Table]:
    """Return a venue's evening as tables to take away: what is on, and conditions of the ground."""
    columns = (
        Column(_("Date"), Kind.DATE),
        Column(_("From"), Kind.TIME),
        Column(_("Until"), Kind.TIME),
        Column(_("Who")),
        Column(_("Where")),
        Column(_("To know")),
    )
    rows = [
        (page.day, max(0, starts), ends, row.who, row.where, _to_know(row))
        for row in page.rows
        for starts, ends in (row.minutes,)
    ]
    return (
        Table(_("Notice board"), columns, rows, f"{page.venue_name}, {page.day_words}"),
        Table(_("To know"), (Column(_("To know")),), [(note,) for note in page.notes]),
    )


def _to_know(row: BoardRow) -> str:
    if row.is_closed:
        return _("closed")
    return "" if row.state is None else _state_in_words(row.state)


def _state_in_words(state: StateShown) -> str:
    """Say what is true of a session in one line of a board."""
    return ": ".join(part for part in (state.label, state.short) if part)
