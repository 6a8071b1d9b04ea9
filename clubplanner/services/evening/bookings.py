"""Adding, moving and withdrawing a booking by hand."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.times.times import (
    TimeRange,
    clock_in_zone,
    day_in_words,
    end_clock_in_zone,
    short_day,
)
from clubplanner.errors import ClashError, MissingError, OutdatedError, RefusedError
from clubplanner.language import _
from clubplanner.services.evening.later_sessions import (
    LaterSessions,
    count_later,
    find_later,
    withdraw_later,
)
from clubplanner.services.places.free_instead import with_free_ground
from clubplanner.services.places.ruling import (
    KEEP_THE_RULES,
    Overruling,
    although,
    hold_to_found,
    hold_to_rules,
    what_hinders_row,
    what_hinders_wish,
)
from clubplanner.services.rows.bookings.booking_rows import (
    BookingWish,
    insert_booking,
    load_area,
    note_change,
    place_booking,
    told_in_words,
)
from clubplanner.services.rows.own_club import refuse_other_squad
from clubplanner.services.rows.snapshot import booking_from_row, load_venues, load_zone
from clubplanner.services.showing.states.session_states import load_states
from clubplanner.services.showing.states.state_shown import StateTeller
from clubplanner.store.journal.journal import describe_change, explain_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.season_tables import ChangedBookingRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.rules.case import Hindrance
    from clubplanner.services.showing.states.state_shown import StateShown
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class BookingDone:
    """What became of a booking.

    Attributes:
        number: The booking's number.
        against: The words of the rules that were overruled for it.
    """

    number: int
    against: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BookingShown:
    """A booking as a form shows it; local date and times.

    `is_fixed` tells whether share-outs leave it alone, `is_session` whether it is a squad's
    training that they could move. `overruled` is why it stands there against a rule, blank where
    none was overruled; `against` the words of the rules that it breaks today, looked up only then.
    `later` are its later ones, None where there are none. `state` is what became of it, None where
    it is on as planned, or where a later plan does without it; `last_change` the number of the last
    change to it, None where there was none.
    """

    number: int
    sequence: int
    venue_key: str
    area_id: int
    area_name: str
    pitch_name: str
    holder: str
    purpose: str
    note: str
    day: str
    day_words: str
    starts: str
    ends: str
    is_fixed: bool
    is_session: bool
    overruled: str = ""
    against: tuple[str, ...] = ()
    later: LaterSessions | None = None
    is_withdrawn: bool = False
    state: StateShown | None = None
    last_change: int | None = None


@dataclass(frozen=True, slots=True)
class WhereBooked:
    """Where a booking is found: its venue's key, its local date (ISO 8601) and start (HH:MM)."""

    venue: str
    day: str
    starts: str


def see_booking(store: Store, number: int) -> BookingShown:
    """Show one booking, withdrawn or not.

    Raises:
        MissingError: If there never was one of that number.
    """
    with store.read() as session:
        row = _own_booking(session, number)
        zone = load_zone(session)
        day = row.starts_at.astimezone(zone).date()
        booking, venues = booking_from_row(row), load_venues(session)
        states = load_states(session, [booking], venues, zone)
        changes = select(func.max(ChangedBookingRow.change_id))
        return BookingShown(
            number=row.id,
            sequence=row.sequence,
            venue_key=row.pitch.venue.key,
            area_id=row.area_id,
            area_name=row.area.name,
            pitch_name=row.pitch.name,
            holder=row.holder,
            purpose=row.purpose.value,
            note=row.note,
            day=day.isoformat(),
            day_words=day_in_words(day),
            starts=clock_in_zone(row.starts_at, zone),
            ends=end_clock_in_zone(row.ends_at, zone),
            is_fixed=row.is_fixed,
            is_session=(
                row.purpose is Purpose.TRAINING
                and row.squad_id is not None
                and not row.is_withdrawn
            ),
            overruled=row.overruled,
            against=_words(what_hinders_row(session, row)) if row.overruled else (),
            later=count_later(find_later(session, row, zone), zone),
            is_withdrawn=row.is_withdrawn,
            state=StateTeller(states, venues, zone).shown(booking),
            last_change=session.scalar(changes.where(ChangedBookingRow.booking_id == number)),
        )


def _own_booking(session: Session, number: int) -> BookingRow:
    row = session.get(BookingRow, number)
    if row is None:
        raise MissingError(_("There is no booking of this number."))
    refuse_other_squad(session, row.squad_id)
    return row


def see_where_booked(store: Store, number: int) -> WhereBooked:
    """Tell on which page of an evening a booking stands, for whoever goes back there.

    Raises:
        MissingError: If there never was one of that number.
    """
    with store.read() as session:
        row = _own_booking(session, number)
        zone = load_zone(session)
        day = row.starts_at.astimezone(zone).date()
        venue = session.scalars(
            select(VenueRow.key).join(PitchRow).where(PitchRow.id == row.pitch_id)
        ).one()
        return WhereBooked(venue, day.isoformat(), clock_in_zone(row.starts_at, zone))


def add_booking(
    store: Store, wish: BookingWish, now: datetime, overruling: Overruling = KEEP_THE_RULES
) -> BookingDone:
    """Book ground where no rule stands in the way, or where the secretary overrules those that do.

    Args:
        store: The database.
        wish: What is booked; ground that is closed asks no rule.
        now: The present instant.
        overruling: Which rules are overruled, and why.

    Raises:
        ClashError: Naming who holds the ground and what is free nearby.
        HinderedError: Naming every rule that stands in the way and is not overruled.
        MissingError: If area or squad is gone.
        RefusedError: If it lies in the past or lasts more than a day.
    """
    try:
        with told_in_words(), store.write(brief=True) as session:
            row, found = _add(session, wish, now, overruling)
    except ClashError as clash:
        with store.read() as session:
            raise with_free_ground(session, clash, wish) from clash
    return BookingDone(row.id, _words(found))


def _add(
    session: Session, wish: BookingWish, now: datetime, overruling: Overruling
) -> tuple[BookingRow, tuple[Hindrance, ...]]:
    """Put a booking where it is wanted; it has its number when the transaction has ended."""
    if wish.during.ends_at <= now:
        raise RefusedError(_("This time has passed; choose a later one."))
    refuse_other_squad(session, wish.squad_id)
    if wish.squad_id is not None:
        squad = session.get(SquadRow, wish.squad_id)
        if squad is None:
            raise MissingError(_("This squad no longer exists; choose another one."))
        wish = replace(wish, holder=squad.name)
    found = what_hinders_wish(session, wish)
    is_free = wish.purpose is not Purpose.CLOSED and not any(one.is_final for one in found)
    row = insert_booking(session, wish, now, is_free=is_free, is_last=is_free)
    hold_to_found(row, found, overruling)
    if found:
        done = _("%(holder)s have %(place)s", holder=row.holder, place=_where(session, row))
        describe_change(session, although(done, found, overruling.because))
    return row, found


def move_booking(
    store: Store,
    number: int,
    sequence: int,
    area_id: int,
    during: TimeRange,
    now: datetime,
    overruling: Overruling = KEEP_THE_RULES,
    *,
    why: str = "",
) -> BookingDone:
    """Move a booking to other ground or another time, where no rule stands in the way.

    Args:
        store: The database.
        number: The booking's number.
        sequence: The change the person was looking at; a later one stands.
        area_id: Where to.
        during: When.
        now: The present instant.
        overruling: Which rules are overruled, and why.
        why: For whoever comes for it; blank for nothing.

    Raises:
        ClashError: Naming who holds the ground and what is free nearby.
        HinderedError: Naming every rule that stands in the way and is not overruled.
        MissingError: If booking or area is gone.
        OutdatedError: If somebody changed the booking in the meantime.
        RefusedError: If it is over, or would lie in the past.
    """
    with store.write(brief=True) as session:
        row = _load_booking(session, number, sequence)
        if row.ends_at <= now or during.ends_at <= now:
            raise RefusedError(_("This time has passed; a booking can only be moved ahead."))
        area = load_area(session, area_id)
        was = TimeRange(row.starts_at, row.ends_at)
        if (row.area_id, was) == (area.id, during):
            return BookingDone(row.id)
        wish = BookingWish(area.id, during, row.purpose, row.squad_id, row.holder, row.note, True)
        try:
            place_booking(session, row, area, during)
        except ClashError as clash:
            raise with_free_ground(session, clash, wish, number) from clash
        found = hold_to_rules(session, row, overruling, was)
        row.is_fixed = True  # moved by hand: a later share-out leaves it there
        note_change(row, now)
        explain_change(session, Reason(Cause.SAID, why))
        if found:
            place = _where(session, row)
            done = _("%(holder)s moved to %(area)s", holder=row.holder, area=place)
            describe_change(session, although(done, found, overruling.because))
        return BookingDone(row.id, _words(found))


def withdraw_booking(
    store: Store,
    number: int,
    sequence: int,
    now: datetime,
    *,
    why: str = "",
    and_later: bool = False,
) -> LaterSessions | None:
    """Give a booking's ground back; in calendars it stays, marked, until its day is over.

    Args:
        store: The database.
        number: The booking's number.
        sequence: The change the person was looking at.
        now: The present instant.
        why: For whoever comes for it; blank for nothing.
        and_later: Whether its later ones are withdrawn as well.

    Returns:
        The later ones withdrawn with it; None for none.

    Raises:
        MissingError: If the booking is gone.
        OutdatedError: If somebody changed it in the meantime.
    """
    with store.write(brief=True) as session:
        row = _load_booking(session, number, sequence)
        zone = load_zone(session)
        later = withdraw_later(find_later(session, row, zone) if and_later else (), now, zone)
        if later:
            words = _(
                "%(holder)s withdrawn: %(place)s", holder=row.holder, place=_where(session, row)
            )
            describe_change(session, f"{words}; {later.words}")
        row.is_withdrawn = True
        note_change(row, now)
        explain_change(session, Reason(Cause.SAID, why))
        return later


def _load_booking(session: Session, number: int, sequence: int) -> BookingRow:
    row = session.get(BookingRow, number)
    if row is None or row.is_withdrawn:
        raise MissingError(_("This booking has already been withdrawn."))
    if row.sequence != sequence:
        zone = load_zone(session)
        raise OutdatedError(
            _(
                "Somebody has changed this booking in the meantime: %(holder)s now has "
                "%(area)s %(starts_at)s–%(ends_at)s. Look again before you change it.",
                holder=row.holder,
                area=row.area.name,
                starts_at=clock_in_zone(row.starts_at, zone),
                ends_at=end_clock_in_zone(row.ends_at, zone),
            )
        )
    return row


def _words(found: Iterable[Hindrance]) -> tuple[str, ...]:
    return tuple(one.words for one in found)


def _where(session: Session, row: BookingRow) -> str:
    zone = load_zone(session)
    place = part_in_words(row.area, row.pitch.name)
    day = short_day(row.starts_at.astimezone(zone).date())
    times = f"{clock_in_zone(row.starts_at, zone)}–{end_clock_in_zone(row.ends_at, zone)}"
    return f"{place}, {day} {times}"
