"""What is to be put right by mail: what each person was last told, beside what is true now.

Pure: rows and values in, changes out. An entry that a mail put into a calendar is corrected by mail
until it is right, however far ahead the session is (RFC 5546, section 3.2: a REQUEST or CANCEL of a
higher SEQUENCE). Whoever is no longer written to about a squad gets a CANCEL, unless they turned
mails off; whoever takes over then gets what the one before had been told.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.domain.club.told.notices import NotedChange, is_noticeable, is_settled
from clubplanner.outputs.calendars.invitation import Mailbox
from clubplanner.store.journal.states import state_from_stored, stored_state

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from collections.abc import Set as AbstractSet
    from datetime import datetime

    from clubplanner.domain.booked.journal import BookingState
    from clubplanner.services.addresses.recipients import Recipients
    from clubplanner.services.mails.making.last_told import LastTold, Said
    from clubplanner.store.tables.booking_tables import BookingRow

    Addressed = tuple[Mailbox, NotedChange]


def state_now(row: BookingRow) -> BookingState:
    """Return a booking as it is."""
    return state_from_stored(stored_state(row))


def correct(
    address: str,
    row: BookingRow,
    before: BookingState | None,
    told: LastTold,
    *,
    is_theirs: bool,
) -> NotedChange | None:
    """Return what one person has to hear of a booking, from what they know to what is true.

    Args:
        address: Of whom, in small letters.
        row: The booking as it is.
        before: What their squads had before the go of changes; None for nothing.
        told: What was said so far.
        is_theirs: Whether they are written to about the squad that it is of now.

    Returns:
        The change; None where they know already.
    """
    said = told.said.get((address, row.id))
    if said is not None:
        before = said.state
    after = state_now(row) if is_theirs else before and replace(before, is_withdrawn=True)
    if after is None or not is_noticeable(before, after):
        return None
    count = count_after(row, address, told)
    return NotedChange(row.id, before, after, count, row.changed_at, after.squad_id)


def no_longer_told(
    people: Recipients, readers: Mapping[int | None, AbstractSet[str]]
) -> dict[int | None, AbstractSet[str]]:
    """Return who was told of a squad's bookings and is no longer written to about it.

    Args:
        people: Who is written to.
        readers: The addresses that were told, in small letters, by the squad's number.

    Returns:
        Addresses by the squad's number; whoever turned mails off is left out.
    """
    return {
        squad_id: addresses
        - {person.address.lower() for person in people.told_about(squad_id)}
        - people.off
        for squad_id, addresses in readers.items()
    }


def put_right(
    people: Recipients, told: LastTold, now: datetime, *, at_once: bool
) -> Iterator[Addressed]:
    """Yield what has to be said although the bookings themselves have not changed.

    Args:
        people: Who is written to.
        told: What was said so far, at least of all that may be amiss: of bookings that somebody was
            told of who is no longer written to (`no_longer_told`), or was let go of before.
        now: The present instant.
        at_once: Do not wait for a go of changes to be over.
    """
    for said in told.said.values():
        row = told.bookings.get(said.number)
        if row is None or said.address in people.off:
            continue
        if not at_once and not is_settled(row.changed_at, row.changed_at, now):
            continue
        if told.followed.get((said.address, said.number), -1) >= count_after(
            row, said.address, told
        ):
            continue
        current = list(people.told_about(row.squad_id))
        yield from _of_one(said, row, current, told, now)


def _of_one(
    said: Said, row: BookingRow, current: list[Mailbox], told: LastTold, now: datetime
) -> Iterator[Addressed]:
    own = [person for person in current if person.address.lower() == said.address]
    if own:  # a cancellation that was for them alone is taken back
        was_let_go = (said.address, said.number) in told.followed and said.state.is_withdrawn
        if was_let_go and not row.is_withdrawn and row.ends_at > now:
            yield own[0], _again(own[0], row, told, now)
        return
    if said.state.is_withdrawn or said.state.ends_at <= now:
        return
    gone = replace(said.state, is_withdrawn=True)
    count = count_after(row, said.address, told)
    yield (
        Mailbox(said.name, said.address),
        NotedChange(row.id, said.state, gone, count, now, said.state.squad_id, is_left=True),
    )
    if row.is_withdrawn or row.ends_at <= now:
        return
    for person in current:
        if (person.address.lower(), row.id) not in told.said:
            yield person, _again(person, row, told, now)


def _again(person: Mailbox, row: BookingRow, told: LastTold, now: datetime) -> NotedChange:
    count = count_after(row, person.address.lower(), told)
    return NotedChange(row.id, None, state_now(row), count, now, row.squad_id)


def count_after(row: BookingRow, address: str, told: LastTold) -> int:
    """Return the booking's count, or one above what an address was told without a change of it."""
    said = told.said.get((address, row.id))
    return row.sequence if said is None else max(row.sequence, said.sequence + 1)
