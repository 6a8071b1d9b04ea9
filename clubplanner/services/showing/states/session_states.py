"""What is true of sessions, read from their journal, closures and conditions.

However many bookings are asked about, the database is asked as often.
"""

from __future__ import annotations

from collections import defaultdict
from datetime import timedelta
from itertools import takewhile
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import joinedload

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.booked.session_state import (
    Cause,
    Reason,
    SessionState,
    Spot,
    Step,
    in_place_of,
    replaced_by,
    state_of,
)
from clubplanner.domain.times.times import TimeRange
from clubplanner.services.rows.snapshot import (
    booking_from_row,
)
from clubplanner.services.showing.states.conditions import load_conditions
from clubplanner.services.showing.states.session_mates import load_gone, load_made, window_round
from clubplanner.store.journal.states import reason_from_stored, state_from_stored
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.season_tables import (
    ChangedBookingRow,
    ChangeRow,
    ClosureDayRow,
    ClosureRow,
)

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence
    from datetime import date
    from typing import Any
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.closures import Closure
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.services.showing.states.session_mates import Mate

MOVED_WITHIN = timedelta(days=31)
"""A board tells of what has gone to another date no further off than this."""

Places = dict[tuple[str, str], str]
"""Key of a pitch and of its area → the ground in words."""


def load_states(
    session: Session, bookings: Iterable[Booking], venues: Sequence[Venue], zone: ZoneInfo
) -> dict[int, SessionState]:
    """Return what is true of bookings, by their numbers; closed ground has no state.

    Args:
        session: A reading session.
        bookings: As they stand, or as somebody is told that they do.
        venues: All venues of the club.
        zone: The club's time zone: what stands in for a session is on the same date.
    """
    asked = {b.number: b for b in bookings if b.purpose is not Purpose.CLOSED}
    if not asked:
        return {}
    gone = load_gone(session, list(asked.values()))
    numbers = asked.keys() | {one.booking.number for one in gone}
    places = places_in_words(venues)
    steps = _load_steps(session, numbers, places)
    conditions: dict[str, list[Closure]] = defaultdict(list)
    for one in _conditions_meanwhile(session, asked.values()):
        conditions[one.pitch_key].append(one)
    found = {
        number: _state(
            booking, steps[number], _there(booking, conditions[booking.pitch_key]), places
        )
        for number, booking in asked.items()
    }
    off = []
    for mate in sorted(gone, key=lambda each: each.booking.during):
        number = mate.booking.number
        state = found.get(number) or _state(mate.booking, steps[number], (), places)
        if not state.is_dropped and state.was is not None and state.since is not None:
            off.append((mate, state))
    return _paired(session, found, off, window_round(asked.values()), places, zone)


def places_in_words(venues: Sequence[Venue]) -> Places:
    """Name all ground: "Clubhouse third, Top pitch", with its venue where there are several."""
    names = {}
    for venue in venues:
        at = (venue.name,) if len(venues) > 1 else ()
        for pitch in venue.pitches:
            for area in pitch.areas:
                part = (area.name,) if pitch.name in area.name else (area.name, pitch.name)
                names[pitch.key, area.key] = ", ".join((*part, *at))
    return names


def spot_of(booking: Booking, places: Places) -> Spot:
    """Return where and when a booking is, with its ground in words."""
    key = booking.pitch_key, booking.area_key
    return Spot(*key, booking.during, places.get(key, ""))


def _state(
    booking: Booking, steps: Sequence[Step], there: Sequence[Closure], places: Places
) -> SessionState:
    spot = spot_of(booking, places)
    return state_of(spot, steps, there, is_withdrawn=booking.is_withdrawn)


def _there(booking: Booking, conditions: Sequence[Closure]) -> tuple[Closure, ...]:
    return tuple(
        one
        for one in conditions
        if one.cells & booking.cells and one.during.overlaps(booking.during)
    )


def _conditions_meanwhile(session: Session, bookings: Collection[Booking]) -> tuple[Closure, ...]:
    first = min(booking.during.starts_at for booking in bookings)
    return load_conditions(session, TimeRange(first, max(b.during.ends_at for b in bookings)))


def _load_steps(
    session: Session, numbers: Collection[int], places: Places
) -> Mapping[int, Sequence[Step]]:
    """Read the journal of some bookings, oldest first."""
    found = session.execute(
        select(
            ChangedBookingRow.id,
            ChangedBookingRow.change_id,
            ChangedBookingRow.booking_id,
            ChangedBookingRow.before,
            ChangedBookingRow.after,
            ChangeRow.at,
            ChangeRow.undoes_id,
            ShareOutRow.id.label("share_out"),
        )
        .join(ChangedBookingRow.change)
        .outerjoin(ShareOutRow, ShareOutRow.published_at == ChangeRow.at)
        .where(ChangedBookingRow.booking_id.in_(numbers), ChangedBookingRow.area_id.is_not(None))
    )
    entries = sorted(found, key=lambda row: row.id)
    ground = _reasons_of_ground(session, {entry.change_id for entry in entries})
    keys = _area_keys(session, entries)
    steps: dict[int, dict[int, Step]] = defaultdict(dict)
    for entry in entries:
        reason = reason_from_stored(entry.after)
        if reason is None:  # from before reasons were kept
            reason = Reason(Cause.PLAN) if entry.share_out else Reason()
        if not reason.is_said and reason.cause is not Cause.PLAN:
            reason = ground.get(entry.change_id, reason)
        own = steps[entry.booking_id]
        if not reason.is_said and entry.undoes_id in own:
            reason = _reason_before(own, entry.undoes_id)
        before, after = (_spot(stored, keys, places) for stored in (entry.before, entry.after))
        own[entry.change_id] = Step(entry.at, before, after, reason)
    return defaultdict(tuple, {number: tuple(each.values()) for number, each in steps.items()})


def _reason_before(steps: Mapping[int, Step], change: int) -> Reason:
    """Return why a booking was as it was before a change: so it is again once that is taken back.

    Args:
        steps: What was done to the booking, by the number of the change, oldest first.
        change: One of them.
    """
    earlier = list(takewhile(lambda number: number != change, steps))
    reason = steps[earlier[-1]].reason if earlier else Reason()
    return Reason() if reason.cause is Cause.PLAN else reason  # taking back publishes no plan


def _area_keys(session: Session, entries: Sequence[Any]) -> dict[int, tuple[str, str]]:
    numbers = {
        stored["area_id"]
        for entry in entries
        for stored in (entry.before, entry.after)
        if stored is not None
    }
    rows = session.execute(
        select(AreaRow.id, PitchRow.key, AreaRow.key)
        .join(AreaRow.pitch)
        .where(AreaRow.id.in_(numbers))
    )
    return {number: (pitch, area) for number, pitch, area in rows}


def _spot(
    stored: dict[str, Any] | None, keys: Mapping[int, tuple[str, str]], places: Places
) -> Spot | None:
    if stored is None or stored["is_withdrawn"]:
        return None
    state = state_from_stored(stored)
    key = keys.get(state.area_id, ("", str(state.area_id)))
    return Spot(*key, TimeRange(state.starts_at, state.ends_at), places.get(key, ""))


def _reasons_of_ground(session: Session, changes: Collection[int]) -> dict[int, Reason]:
    """Return why ground was needed in changes that closed it or put a match there.

    The reason of a closure is read from the closure: it is told as it stands now.
    """
    rows = session.execute(
        select(ChangedBookingRow.change_id, BookingRow, ClosureRow.reason)
        .join(BookingRow, ChangedBookingRow.booking_id == BookingRow.id)
        .outerjoin(ClosureDayRow, ClosureDayRow.booking_id == BookingRow.id)
        .outerjoin(ClosureRow, ClosureDayRow.closure_id == ClosureRow.id)
        .where(
            ChangedBookingRow.change_id.in_(changes),
            ChangedBookingRow.area_id.is_(None),
            BookingRow.purpose.in_((Purpose.CLOSED, Purpose.MATCH)),
        )
        .order_by(ChangedBookingRow.id)
        .options(joinedload(BookingRow.squad))
    )
    found: dict[int, Reason] = {}
    for change, row, reason in rows:
        if row.purpose is Purpose.CLOSED:
            found[change] = Reason(Cause.CLOSED, reason or row.holder)
        else:
            found.setdefault(change, Reason(Cause.MATCH, row.holder))
    return found


def _paired(
    session: Session,
    states: dict[int, SessionState],
    gone: Sequence[tuple[Mate, SessionState]],
    window: TimeRange,
    places: Places,
    zone: ZoneInfo,
) -> dict[int, SessionState]:
    """Put together what was called off and what was made in its place, on the same day.

    Args:
        session: A reading session.
        states: What is true of the bookings asked about, by their numbers.
        gone: What was called off, by start, each with what is true of it.
        window: The time within which something may have been made.
        places: All ground in words.
        zone: The club's time zone.
    """
    was = [(one, off, off.was.during) for one, off in gone if off.was is not None]
    if not was:
        return states
    slots = {(one.squad_id, _day(during, zone)) for one, _off, during in was}
    made: dict[tuple[int, Purpose, date], list[Mate]] = defaultdict(list)
    for mate in load_made(session, slots, window, zone):
        made[mate.squad_id, mate.booking.purpose, _day(mate.booking.during, zone)].append(mate)
    found = dict(states)
    for one, off, during in was:
        there = made[one.squad_id, one.booking.purpose, _day(during, zone)]
        new = next((each for each in there if off.since and each.created_at >= off.since), None)
        if new is None:
            continue
        there.remove(new)
        number = one.booking.number
        if number in found:
            found[number] = replaced_by(off, spot_of(new.booking, places))
        if new.booking.number in found:
            found[new.booking.number] = in_place_of(found[new.booking.number], off)
    return found


def _day(during: TimeRange, zone: ZoneInfo) -> date:
    return during.starts_at.astimezone(zone).date()


def load_left(session: Session, during: TimeRange) -> tuple[Booking, ...]:
    """Return squads' bookings that were to be within a range and no longer are, by start.

    Args:
        session: A reading session.
        during: The range asked about.
    """
    epoch = int(during.starts_at.timestamp()), int(during.ends_at.timestamp())
    was_there = select(ChangedBookingRow.id).where(
        ChangedBookingRow.booking_id == BookingRow.id,
        ChangedBookingRow.area_id.is_not(None),
        ChangedBookingRow.before["starts_at"].as_integer() < epoch[1],
        ChangedBookingRow.before["ends_at"].as_integer() > epoch[0],
    )
    rows = session.scalars(
        select(BookingRow)
        .where(
            BookingRow.starts_at > during.starts_at - MOVED_WITHIN,
            BookingRow.starts_at < during.ends_at + MOVED_WITHIN,
            BookingRow.squad_id.is_not(None),
            was_there.exists(),
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
        .options(
            joinedload(BookingRow.pitch), joinedload(BookingRow.area), joinedload(BookingRow.squad)
        )
    )
    return tuple(booking_from_row(row) for row in rows)
