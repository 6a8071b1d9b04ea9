"""What is true of sessions, read from their journal, closures and conditions.

However many bookings are asked about, the database is asked as often.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from itertools import takewhile
from typing import TYPE_CHECKING

from sqlalchemy import or_, select
from sqlalchemy.orm import joinedload

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.booked.session_state import (
    PLAN_NOTICE,
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
    booking_from_columns,
    booking_from_row,
    bookings_with_names,
)
from clubplanner.services.showing.conditions import load_conditions
from clubplanner.store.states import reason_from_stored, state_from_stored
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.season_tables import (
    ChangedBookingRow,
    ChangeRow,
    ClosureDayRow,
    ClosureRow,
)
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence
    from datetime import date, datetime
    from typing import Any
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.closures import Closure
    from clubplanner.domain.ground.grounds import Venue

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
    mates = _load_mates(session, list(asked.values()))
    numbers = asked.keys() | {mate.booking.number for mate in mates}
    places = places_in_words(venues)
    steps = _load_steps(session, numbers, places)
    conditions = _conditions_meanwhile(session, asked.values())
    found = {
        number: _state(booking, steps[number], _there(booking, conditions), places)
        for number, booking in asked.items()
    }
    return _paired(found, mates, steps, places, zone)


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
        if one.pitch_key == booking.pitch_key
        and one.cells & booking.cells
        and one.during.overlaps(booking.during)
    )


def _conditions_meanwhile(session: Session, bookings: Collection[Booking]) -> tuple[Closure, ...]:
    first = min(booking.during.starts_at for booking in bookings)
    return load_conditions(session, TimeRange(first, max(b.during.ends_at for b in bookings)))


@dataclass(frozen=True, slots=True)
class _Mate:
    """A session that may stand in for another, or have another in its place."""

    booking: Booking
    created_at: datetime
    is_by_plan: bool


def _load_mates(session: Session, bookings: Sequence[Booking]) -> list[_Mate]:
    """Return the sessions called off or made, also by plan, of the same squads on the same days."""
    squads = {booking.squad_key for booking in bookings if booking.squad_key}
    day = timedelta(days=1)
    first = min(booking.during.starts_at for booking in bookings)
    last = max(booking.during.starts_at for booking in bookings)
    rows = session.execute(
        bookings_with_names()
        .add_columns(BookingRow.created_at, BookingRow.share_out_id)
        .where(
            SquadRow.key.in_(squads),
            or_(
                BookingRow.is_withdrawn.is_(True),
                BookingRow.share_out_id.is_(None),
                BookingRow.created_at > first - day - PLAN_NOTICE,
            ),
            BookingRow.starts_at >= first - day,
            BookingRow.starts_at <= last + day,
        )
    )
    found = []
    for *columns, created_at, share_out in rows:
        booking = booking_from_columns(session, columns)
        is_early = booking.during.starts_at >= created_at + PLAN_NOTICE
        found.append(_Mate(booking, created_at, is_by_plan=share_out is not None and is_early))
    return found


def _load_steps(
    session: Session, numbers: Collection[int], places: Places
) -> Mapping[int, Sequence[Step]]:
    """Read the journal of some bookings, oldest first."""
    found = session.execute(
        select(ChangedBookingRow, ChangeRow.at, ChangeRow.undoes_id, ShareOutRow.id)
        .join(ChangedBookingRow.change)
        .outerjoin(ShareOutRow, ShareOutRow.published_at == ChangeRow.at)
        .where(ChangedBookingRow.booking_id.in_(numbers), ChangedBookingRow.area_id.is_not(None))
    )
    entries = sorted(found, key=lambda row: row[0].id)
    ground = _reasons_of_ground(session, {entry.change_id for entry, *_more in entries})
    keys = _area_keys(session, entries)
    steps: dict[int, dict[int, Step]] = defaultdict(dict)
    for entry, at, undoes, share_out in entries:
        reason = reason_from_stored(entry.after)
        if reason is None:  # from before reasons were kept
            reason = Reason(Cause.PLAN) if share_out else Reason()
        if not reason.is_said and reason.cause is not Cause.PLAN:
            reason = ground.get(entry.change_id, reason)
        own = steps[entry.booking_id]
        if not reason.is_said and undoes in own:
            reason = _reason_before(own, undoes)
        before, after = (_spot(stored, keys, places) for stored in (entry.before, entry.after))
        own[entry.change_id] = Step(at, before, after, reason)
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
        for entry, *_more in entries
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
    states: dict[int, SessionState],
    mates: Sequence[_Mate],
    steps: Mapping[int, Sequence[Step]],
    places: Places,
    zone: ZoneInfo,
) -> dict[int, SessionState]:
    """Put together what was called off and what was made in its place, on the same day."""
    found = dict(states)
    made: dict[tuple[str | None, Purpose, date], list[_Mate]] = defaultdict(list)
    for mate in mates:
        if not mate.is_by_plan and not mate.booking.is_withdrawn:
            made[_slot(mate.booking, mate.booking.during, zone)].append(mate)
    for mate in sorted(mates, key=lambda each: each.booking.during):
        number = mate.booking.number
        if not mate.booking.is_withdrawn:
            continue
        off = found.get(number) or _state(mate.booking, steps[number], (), places)
        if off.is_dropped or off.was is None or off.since is None:
            continue
        there = made[_slot(mate.booking, off.was.during, zone)]
        new = next((one for one in there if one.created_at >= off.since), None)
        if new is None:
            continue
        there.remove(new)
        if number in found:
            found[number] = replaced_by(off, spot_of(new.booking, places))
        if new.booking.number in found:
            found[new.booking.number] = in_place_of(found[new.booking.number], off)
    return found


def _slot(booking: Booking, during: TimeRange, zone: ZoneInfo) -> tuple[str | None, Purpose, date]:
    return booking.squad_key, booking.purpose, during.starts_at.astimezone(zone).date()


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
