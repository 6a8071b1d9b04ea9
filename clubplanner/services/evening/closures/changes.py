"""Changing a closure: until when, which ground, how far, and why; it keeps its number."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.booked.closures import Condition, day_pieces
from clubplanner.domain.times.times import TimeRange
from clubplanner.errors import RefusedError
from clubplanner.language import _
from clubplanner.services.evening.closures.closing import (
    ClosureDone,
    ClosureWish,
    add_day,
    check_closure,
    closed_day,
    find_in_the_way,
)
from clubplanner.services.evening.closures.reopening import (
    closure_in_force,
    end_day,
    refuse_changed,
)
from clubplanner.services.giving.waiting_list import serve_waiting
from clubplanner.services.places.away import closed_numbers
from clubplanner.services.places.closure_list import closure_in_words, span_in_words
from clubplanner.services.places.coming_back import (
    Return,
    bring_back,
    choose_returns,
    count_words,
    foresee_returns,
    proposed,
)
from clubplanner.services.places.displaced import (
    Displaced,
    Settled,
    foresee_displaced,
    place_settled,
    settle_displaced,
)
from clubplanner.services.places.ruling import booking_as_wished
from clubplanner.services.rows.bookings.booking_rows import load_area, note_change, place_booking
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.showing.states.conditions import place_name
from clubplanner.store.journal.journal import describe_change

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store
    from clubplanner.store.tables.booking_tables import BookingRow
    from clubplanner.store.tables.ground_tables import AreaRow
    from clubplanner.store.tables.season_tables import ClosureRow


@dataclass(frozen=True, slots=True)
class ClosureChange:
    """What a closure is to be from now on; when it began stays.

    Attributes:
        area_id: The area's number.
        ends_at: Until when.
        condition: How far it is closed.
        reason: Why, in words.
        words: What is allowed, for a condition of another kind; else blank.
    """

    area_id: int
    ends_at: datetime
    condition: Condition
    reason: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class ForeseenChange:
    """What changing a closure would do.

    Attributes:
        number: The closure's number.
        place: The ground in words.
        when: From when to when it will be closed, in words.
        displaced: The sessions that have to go besides, by start.
        returns: The sessions whose ground it sets free, by start.
    """

    number: int
    place: str
    when: str
    displaced: tuple[Displaced, ...]
    returns: tuple[Return, ...]


def foresee_change(
    store: Store, number: int, change: ClosureChange, now: datetime
) -> ForeseenChange:
    """Say who else has to go and who could come back; nothing is changed.

    Raises:
        ClashError: If ground is closed already beyond this closure.
        MissingError: If the closure or the area is gone.
        RefusedError: If the closure is over, or the new end cannot be.
    """
    with store.read() as session:
        plan = _plan(session, number, change, now)
        rows: list[BookingRow] = []
        if plan.pieces:
            rows, _unused = find_in_the_way(session, plan.area, plan.wish, plan.own)
        closed = [booking_as_wished(session, closed_day(plan.wish, piece)) for piece in plan.pieces]
        whole = TimeRange(plan.row.starts_at, change.ends_at)
        return ForeseenChange(
            number=number,
            place=place_name(plan.area),
            when=span_in_words(whole, load_zone(session)),
            displaced=foresee_displaced(
                session, rows, plan.area.pitch.key, plan.area.cells, plan.wish.during, now
            ),
            returns=foresee_returns(session, closed_numbers(session, plan.row), closed, now),
        )


def change_closure(
    store: Store,
    number: int,
    change: ClosureChange,
    decisions: Mapping[int, str] | None,
    back: Mapping[int, int] | None,
    now: datetime,
    *,
    stand: str | None = None,
) -> ClosureDone:
    """Change a closure, settle who else has to go and bring back who can, in one transaction.

    Args:
        store: The database.
        number: The closure's number.
        change: What it is to be.
        decisions: Booking number → where it goes, as `foresee_change` offered it; None to take
            what it proposes.
        back: The sessions that come back, booking number → the change shown; None for those that
            it proposes.
        now: The present instant.
        stand: What was seen of it, by `stand_of`; None where that is not asked.

    Raises:
        ClashError: If a chosen place has been taken in the meantime, or ground is closed already.
        HinderedError: If a rule keeps one of those away who are to come back.
        MissingError: If the closure or the area is gone, or a decision cannot be read.
        OutdatedError: If a session has come, or come back, since the person looked.
        RefusedError: If the closure is over, or the new end cannot be.
    """
    if decisions is None or back is None:
        foreseen = foresee_change(store, number, change, now)
        if decisions is None:
            decisions = {one.number: one.chosen for one in foreseen.displaced}
        if back is None:
            back = proposed(foreseen.returns)
    with store.write() as session:
        plan = _plan(session, number, change, now)
        row = plan.row
        refuse_changed(row, stand)
        chosen = choose_returns(session, closed_numbers(session, row), back)
        settled = _take_ground(session, plan, decisions, now)
        row.area_id, row.ends_at = change.area_id, change.ends_at
        row.area = plan.area
        row.condition, row.words = change.condition.value, change.words
        row.reason, row.lifted_at = change.reason, None
        session.flush()
        came = bring_back(session, chosen, now)
        place = place_name(plan.area)
        when = span_in_words(TimeRange(row.starts_at, row.ends_at), load_zone(session))
        words = _(
            "changed the closure of %(area)s: %(reason)s, %(when)s",
            area=place,
            reason=change.reason,
            when=when,
        )
        moved = settled.words if settled.moved or settled.withdrawn else ""
        told = [words, moved, count_words(came).rstrip(".")]
        describe_change(session, "; ".join(filter(None, told)))
        done = [f"{closure_in_words(row)} {when}.", moved and f"{moved}.", count_words(came)]
    words = " ".join(filter(None, [*done, *serve_waiting(store, now)]))
    return ClosureDone(number, words, settled)


@dataclass(frozen=True, slots=True)
class _Plan:
    """A change of a closure before it is made.

    Attributes:
        row: The closure.
        area: The ground it will hold.
        wish: The same for the time that it will hold it from now on.
        pieces: The days on which it will, those begun included; empty for a condition.
        own: The bookings by which it holds ground now or ahead.
    """

    row: ClosureRow
    area: AreaRow
    wish: ClosureWish
    pieces: tuple[TimeRange, ...]
    own: frozenset[int]


def _plan(session: Session, number: int, change: ClosureChange, now: datetime) -> _Plan:
    row = closure_in_force(session, number, now)
    area = load_area(session, change.area_id)
    if change.ends_at <= now:
        raise RefusedError(_("This time has passed; to end it now, open the ground again."))
    if change.ends_at <= row.starts_at:
        raise RefusedError(_("The end must come after the start."))
    live = _live_days(row, now)
    stays = [one for one in live if one.area_id == area.id]
    begins = max(row.starts_at, now.replace(second=0, microsecond=0))
    if stays:
        begins = min(one.starts_at for one in stays)
    during = TimeRange(begins, change.ends_at)
    wish = ClosureWish(area.id, during, change.condition, change.reason, change.words)
    check_closure(wish, now)
    check_closure(
        ClosureWish(
            area.id,
            TimeRange(row.starts_at, change.ends_at),
            change.condition,
            change.reason,
        ),
        now,
    )
    is_closed = change.condition is Condition.CLOSED
    return _Plan(
        row,
        area,
        wish,
        day_pieces(during, load_zone(session)) if is_closed else (),
        frozenset(one.id for one in live),
    )


def _take_ground(
    session: Session, plan: _Plan, decisions: Mapping[int, str], now: datetime
) -> Settled:
    """Free the ground that is no longer closed and close the rest, day by day."""
    wanted = {piece.starts_at: piece for piece in plan.pieces}
    kept: list[tuple[BookingRow, TimeRange]] = []
    for one in _live_days(plan.row, now):
        if one.area_id == plan.area.id and one.starts_at in wanted:
            kept.append((one, wanted.pop(one.starts_at)))
        else:
            end_day(session, one, now)
    settled = []
    if plan.pieces:
        sessions, smaller = find_in_the_way(session, plan.area, plan.wish, plan.own)
        settled = settle_displaced(session, sessions, decisions, now)
        for closed in smaller:
            closed.is_withdrawn = True
            note_change(closed, now)
        session.flush()
    for one, piece in kept:
        _keep_day(session, one, piece, plan.wish.reason, now)
    for piece in wanted.values():
        add_day(session, plan.row, closed_day(plan.wish, piece), now)
    return place_settled(session, settled)


def _keep_day(
    session: Session, booking: BookingRow, piece: TimeRange, reason: str, now: datetime
) -> None:
    if booking.ends_at == piece.ends_at and booking.holder == reason:
        return
    if booking.ends_at != piece.ends_at:
        place_booking(session, booking, booking.area, piece)
    booking.holder = reason
    note_change(booking, now)


def _live_days(row: ClosureRow, now: datetime) -> list[BookingRow]:
    return [
        day.booking
        for day in row.days
        if not day.booking.is_withdrawn and day.booking.ends_at > now
    ]
