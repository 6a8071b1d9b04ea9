"""What is booked from one date to another, by venue, squad and purpose: a list and a table."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import and_, func, select, true

from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    day_in_short,
    day_month_year,
    minute_from_instant,
    range_from_wall,
)
from clubplanner.errors import MissingError
from clubplanner.language import _, sentence, term
from clubplanner.outputs.tables.map_files import GroundShape
from clubplanner.outputs.tables.table import Column, Kind, Table
from clubplanner.services.rows.journal.journal_rows import bookings_as_known
from clubplanner.services.rows.snapshot import load_bookings, load_club, load_venues
from clubplanner.services.showing.ground.plans import times_in_words
from clubplanner.services.showing.states.session_states import load_states
from clubplanner.services.showing.states.state_shown import StateTeller
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.columns import total_seconds
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy import ColumnElement

    from clubplanner.domain.booked.bookings import Booking, Purpose
    from clubplanner.domain.booked.session_state import SessionState
    from clubplanner.domain.ground.grounds import Area, Pitch, Venue
    from clubplanner.domain.times.times import TimeRange
    from clubplanner.outputs.tables.table import Cell
    from clubplanner.store.engine import Store

MOST_DAYS = 400
"""A longer range is cut: a season with a month on either side."""


@dataclass(frozen=True, slots=True)
class BookedWish:
    """Which bookings are asked for.

    Attributes:
        first: First local date.
        last: Last one, included.
        venue_key: The only venue; blank for all.
        squad_key: The only squad; blank for all, and for those who are none.
        purpose: The only purpose; None for all.
    """

    first: date
    last: date
    venue_key: str = ""
    squad_key: str = ""
    purpose: Purpose | None = None


@dataclass(frozen=True, slots=True)
class BookedLine:
    """A booking of the list.

    Attributes:
        number: The booking's number.
        on: Local date on which it begins.
        start_min: When it begins, minutes after that date's midnight.
        end_min: When it ends, minutes after the same midnight.
        holder: Who.
        squad_key: Whose; None for nobody of ours.
        purpose: Why.
        venue_name: Where.
        pitch_name: On which pitch.
        area_name: On which part of it; blank for all of it.
        hours: How long.
        share: Which part of the pitch it takes, 0 to 1.
        note: What else people should know; may be blank.
        times: Local times, in words.
        ground: Where that part lies.
        state: From where it was moved, in words; blank where it was to be there, or nobody asked.
    """

    number: int
    on: date
    start_min: int
    end_min: int
    holder: str
    squad_key: str | None
    purpose: Purpose
    venue_name: str
    pitch_name: str
    area_name: str
    hours: float
    share: float
    note: str
    times: str
    ground: GroundShape
    state: str = ""

    @property
    def day_words(self) -> str:
        """Its date in short."""
        return day_in_short(self.on)

    @property
    def place(self) -> str:
        """The ground in words."""
        return ", ".join(filter(None, (self.area_name, self.pitch_name)))


@dataclass(frozen=True, slots=True)
class Booked:
    """What is booked.

    Attributes:
        wish: What was asked for; its last date is the last one looked at.
        lines: By start.
        words: What was asked for, in words.
        tells_moves: Whether what was moved is marked.
    """

    wish: BookedWish
    lines: tuple[BookedLine, ...]
    words: str
    tells_moves: bool = False

    @property
    def hours(self) -> float:
        """How long all of it is together."""
        return sum(line.hours for line in self.lines)


def list_booked(
    store: Store,
    wish: BookedWish,
    squad_name: str = "",
    known_at: datetime | None = None,
    *,
    skip: int = 0,
    most: int | None = None,
    tells_moves: bool = False,
) -> Booked:
    """Return what is booked on some dates, by start.

    Args:
        store: The database.
        wish: Which bookings. What touches one of its dates is among them, as closed ground does
            that was closed before.
        squad_name: What the squad that is asked for is called.
        known_at: As it stood at this instant; None for as it stands, of which alone a part is read.
        skip: How many are left out, the first ones.
        most: How many are read after them; None for all.
        tells_moves: Whether what was moved is marked, as on the page of an evening or a week; as
            it stands alone.

    Raises:
        MissingError: If there is no such venue.
    """
    last = _last_of(wish)
    with store.read() as session:
        zone = load_club(session).time_zone
        venues = everywhere = load_venues(session)
        if wish.venue_key:
            venues = tuple(venue for venue in venues if venue.key == wish.venue_key)
            if not venues:
                raise MissingError(_("There is no such venue; choose one from the list."))
        during = _asked_for(wish, zone)
        found = (
            load_bookings(session, during, which=_which(wish), most=most, skip=skip)
            if known_at is None
            else bookings_as_known(session, during, known_at)
        )
        states: Mapping[int, SessionState] = {}
        tells_moves = tells_moves and known_at is None
        if tells_moves:
            states = load_states(session, found, everywhere, zone)
    teller = StateTeller(states, everywhere, zone, None)
    places = {
        (pitch.key, area.key): (venue, pitch, area)
        for venue in venues
        for pitch in venue.pitches
        for area in pitch.areas
    }
    lines = tuple(
        _line(booking, *places[booking.pitch_key, booking.area_key], zone, teller)
        for booking in found
        if (booking.pitch_key, booking.area_key) in places
        and (not wish.squad_key or booking.squad_key == wish.squad_key)
        and wish.purpose in (None, booking.purpose)
    )
    shown = BookedWish(wish.first, last, wish.venue_key, wish.squad_key, wish.purpose)
    return Booked(shown, lines, _words(shown, venues, squad_name), tells_moves)


def count_booked(store: Store, wish: BookedWish) -> tuple[int, float]:
    """Return how much is booked on some dates: how many bookings, and how many hours in all.

    Args:
        store: The database.
        wish: Which bookings, as `list_booked` takes it.
    """
    with store.read() as session:
        during = _asked_for(wish, load_club(session).time_zone)
        count, seconds = session.execute(
            select(
                func.count(BookingRow.id), total_seconds(BookingRow.starts_at, BookingRow.ends_at)
            ).where(
                *BookingRow.running_between(during.starts_at, during.ends_at),
                BookingRow.is_withdrawn.is_(False),
                _which(wish),
            )
        ).one()
        return count, (seconds or 0) / 3600


def _last_of(wish: BookedWish) -> date:
    return min(wish.last, wish.first + timedelta(days=MOST_DAYS - 1))


def _asked_for(wish: BookedWish, zone: ZoneInfo) -> TimeRange:
    days = (_last_of(wish) - wish.first).days + 1
    return range_from_wall(wish.first, 0, days * MINUTES_A_DAY, zone)


def _which(wish: BookedWish) -> ColumnElement[bool]:
    """Return the conditions of a wish besides its dates."""
    parts: list[ColumnElement[bool]] = []
    if wish.venue_key:
        own = select(PitchRow.id).join(PitchRow.venue).where(VenueRow.key == wish.venue_key)
        parts.append(BookingRow.pitch_id.in_(own))
    if wish.squad_key:
        squad = select(SquadRow.id).where(SquadRow.key == wish.squad_key)
        parts.append(BookingRow.squad_id.in_(squad))
    if wish.purpose is not None:
        parts.append(BookingRow.purpose == wish.purpose)
    return and_(true(), *parts)


def booked_table(title: str, booked: Booked) -> tuple[Table, tuple[GroundShape, ...]]:
    """Return what is booked as a table to take away, and the ground of each row."""
    columns = (
        Column(_("Date"), Kind.DATE),
        Column(_("From"), Kind.TIME),
        Column(_("Until"), Kind.TIME),
        Column(_("Who")),
        Column(_("For")),
        Column(_("Venue")),
        Column(_("Pitch")),
        Column(_("Part of the pitch")),
        Column(_("Hours"), Kind.HOURS),
        Column(_("Share of the pitch"), Kind.SHARE),
        Column(_("Note")),
        *((Column(_("What became of it")),) if booked.tells_moves else ()),
    )
    rows: list[tuple[Cell, ...]] = [
        (
            line.on,
            line.start_min,
            line.end_min,
            line.holder,
            sentence(term(line.purpose.value)),
            line.venue_name,
            line.pitch_name,
            line.area_name,
            line.hours,
            line.share,
            line.note,
            *((line.state,) if booked.tells_moves else ()),
        )
        for line in booked.lines
    ]
    table = Table(title, columns, rows, booked.words)
    return table, tuple(line.ground for line in booked.lines)


def _line(
    booking: Booking, venue: Venue, pitch: Pitch, area: Area, zone: ZoneInfo, teller: StateTeller
) -> BookedLine:
    moved = teller.elsewhere(booking)
    day = booking.during.starts_at.astimezone(zone).date()
    return BookedLine(
        number=booking.number,
        on=day,
        start_min=minute_from_instant(booking.during.starts_at, day, zone),
        end_min=minute_from_instant(booking.during.ends_at, day, zone),
        holder=booking.holder,
        squad_key=booking.squad_key,
        purpose=booking.purpose,
        venue_name=venue.name,
        pitch_name=pitch.name,
        area_name="" if area.cut == "whole" else area.name,
        hours=booking.during.minutes / 60,
        share=min(1.0, area.area_m2 / pitch.polygon.area),
        note=booking.note,
        times=times_in_words(booking, zone),
        ground=GroundShape(pitch.frame, area.polygon),
        state="" if moved is None else moved.line,
    )


def _words(wish: BookedWish, venues: Sequence[Venue], squad_name: str) -> str:
    span = day_month_year(wish.first)
    if wish.last != wish.first:
        span = _("%(first)s to %(last)s", first=span, last=day_month_year(wish.last))
    parts = (
        span,
        venues[0].name if wish.venue_key else "",
        squad_name,
        "" if wish.purpose is None else term(wish.purpose.value),
    )
    return ", ".join(filter(None, parts))
