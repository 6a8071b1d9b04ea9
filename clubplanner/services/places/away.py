"""The sessions that a closure or a match displaced: found in the journal, whatever became of them.

No record says what a session made way for; the journal does: it is the change in which the ground
where the session stood came to be closed, or came to be a match's.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.coming_back import Away, Mover, Step, has_to_go, still_away
from clubplanner.services.rows.journal.journal_rows import changed_from_row
from clubplanner.store.chunks import chunks_of
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.season_tables import ChangedBookingRow, ClosureDayRow, ClosureRow

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.journal import BookingState, ChangedBooking

TAKING = (Purpose.CLOSED, Purpose.MATCH)
"""What takes ground from whoever is there."""


def closed_numbers(session: Session, closure: ClosureRow) -> set[int]:
    """Return the bookings by which a closure, and those it took the place of, held ground."""
    days = select(ClosureDayRow.booking_id).where(ClosureDayRow.closure_id == closure.id)
    found = set(session.scalars(days))
    fresh = set(found)
    while fresh:
        replaced: set[int] = set()
        changes = {change for change, _unused in _history(session, fresh)}
        for entries in _taking(session, changes, (Purpose.CLOSED,)).values():
            own = [one.after for one in entries if one.number in fresh]
            replaced |= {
                one.number
                for one in entries
                if one.after.is_withdrawn and any(has_to_go(one.before, state) for state in own)
            }
        fresh = replaced - found
        found |= fresh
    return found


def load_away(session: Session, held: Collection[int]) -> tuple[Away, ...]:
    """Return the sessions that had to go and are not back, by start.

    Args:
        session: An open session.
        held: The bookings by which a closure (`closed_numbers`) or a match held ground.
    """
    takings = _taking(session, {change for change, _unused in _history(session, held)})
    displaced = {
        entry.number
        for change, entry in _entries_of(session, takings)
        if entry.after.purpose is not Purpose.CLOSED
        and any(
            one.number in held
            and one.number != entry.number
            and _meet(session, entry.before, one.after)
            for one in takings[change]
        )
    }
    return still_away(_steps(session, displaced, held))


def _steps(session: Session, displaced: Collection[int], held: Collection[int]) -> Iterator[Step]:
    history = list(_history(session, displaced))
    takings = _taking(session, {change for change, _unused in history})
    for change, entry in history:
        movers = {
            one.number
            for one in takings[change]
            if one.number != entry.number and _meet(session, entry.before, one.after)
        }
        mover = Mover.OTHER_GROUND if movers else Mover.PERSON
        if not movers.isdisjoint(held):
            mover = Mover.THIS_GROUND
        yield Step(entry.number, entry.before, entry.after, mover)


def _meet(session: Session, state: BookingState | None, taken: BookingState) -> bool:
    """Tell whether a booking stood on ground and at a time that came to be taken."""
    if state is None or not has_to_go(state, taken):
        return False
    area, other = session.get(AreaRow, state.area_id), session.get(AreaRow, taken.area_id)
    return area is None or other is None or bool(area.cells & other.cells)


def _history(session: Session, numbers: Collection[int]) -> Iterable[tuple[int, ChangedBooking]]:
    """Return every change of some bookings, oldest first, each with the change's number."""
    rows: list[ChangedBookingRow] = []
    for chunk in chunks_of(sorted(numbers)):
        query = select(ChangedBookingRow).where(ChangedBookingRow.booking_id.in_(chunk))
        rows += session.scalars(query)
    return [(row.change_id, changed_from_row(row)) for row in sorted(rows, key=lambda r: r.id)]


def _entries_of(session: Session, changes: Collection[int]) -> Iterator[tuple[int, ChangedBooking]]:
    for chunk in chunks_of(sorted(changes)):
        query = select(ChangedBookingRow).where(ChangedBookingRow.change_id.in_(chunk))
        for row in session.scalars(query.order_by(ChangedBookingRow.id)):
            yield row.change_id, changed_from_row(row)


def _taking(
    session: Session, changes: Collection[int], purposes: Collection[Purpose] = TAKING
) -> dict[int, list[ChangedBooking]]:
    """Return, by change, the entries of closed ground and of matches."""
    found: dict[int, list[ChangedBooking]] = defaultdict(list)
    for chunk in chunks_of(sorted(changes)):
        query = (
            select(ChangedBookingRow)
            .join(BookingRow, BookingRow.id == ChangedBookingRow.booking_id)
            .where(ChangedBookingRow.change_id.in_(chunk), BookingRow.purpose.in_(purposes))
        )
        for row in session.scalars(query):
            found[row.change_id].append(changed_from_row(row))
    return found
