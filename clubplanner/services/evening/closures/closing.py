"""Closing ground, at once or planned, and opening it with a condition."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition, day_pieces
from clubplanner.domain.times.times import MINUTES_A_DAY
from clubplanner.errors import ClashError, RefusedError
from clubplanner.language import _, sentence, term
from clubplanner.services.places.closure_list import span_in_words
from clubplanner.services.places.displaced import (
    WITHDRAW,
    Displaced,
    Settled,
    foresee_displaced,
    place_settled,
    settle_displaced,
)
from clubplanner.services.rows.bookings.booking_rows import (
    BookingWish,
    clashes_from_rows,
    find_holders,
    insert_booking,
    load_area,
    note_change,
)
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.showing.states.conditions import place_name
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.season_tables import ClosureDayRow, ClosureRow

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.times.times import TimeRange
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.booking_tables import BookingRow
    from clubplanner.store.tables.ground_tables import AreaRow

LONGEST_DAYS = 400


@dataclass(frozen=True, slots=True)
class ClosureWish:
    """Ground somebody wants closed, or open with a condition.

    Attributes:
        area_id: The area's number.
        during: From when to when; days are cut apart here.
        condition: How far it is closed.
        reason: Why, in words.
        words: What is allowed, for a condition of another kind; else blank.
    """

    area_id: int
    during: TimeRange
    condition: Condition
    reason: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class Foreseen:
    """What closing would do.

    Attributes:
        place: The ground in words.
        when: From when to when, in words.
        displaced: The sessions that have to go, by start.
    """

    place: str
    when: str
    displaced: tuple[Displaced, ...]


@dataclass(frozen=True, slots=True)
class ClosureDone:
    """A closure that has been made.

    Attributes:
        number: The closure's number.
        words: What was done, a sentence.
        settled: What became of the displaced sessions.
    """

    number: int
    words: str
    settled: Settled


def foresee_closure(store: Store, wish: ClosureWish, now: datetime) -> Foreseen:
    """Say which sessions a closure displaces and where each can go; nothing is changed.

    Raises:
        MissingError: If the area is gone.
        RefusedError: If the time has passed, the wish is too long, or ground is closed already.
    """
    with store.read() as session:
        area = load_area(session, wish.area_id)
        check_closure(wish, now)
        zone = load_zone(session)
        rows: list[BookingRow] = []
        if wish.condition is Condition.CLOSED:
            rows, _unused = find_in_the_way(session, area, wish)
        return Foreseen(
            place=place_name(area),
            when=span_in_words(wish.during, zone),
            displaced=foresee_displaced(
                session, rows, area.pitch.key, area.cells, wish.during, now
            ),
        )


def close_ground(
    store: Store, wish: ClosureWish, decisions: Mapping[int, str] | None, now: datetime
) -> ClosureDone:
    """Close ground and settle every session that stands on it, in one transaction.

    Closed ground is booked by nobody, one row a day. A condition ("no studs") holds no ground
    and displaces nobody. Smaller closures that lie within the new one are replaced by it.

    Args:
        store: The database.
        wish: What is closed, when and why.
        decisions: Booking number → the chosen place's value, or `WITHDRAW`, as `foresee_closure`
            offered them; None to take what it proposes.
        now: The present instant.

    Raises:
        ClashError: If a chosen place has been taken in the meantime.
        MissingError: If the area is gone or a decision cannot be read.
        OutdatedError: If a session has come since the person looked.
        RefusedError: If the time has passed, or a part is closed already beyond this closure.
    """
    if decisions is None:
        foreseen = foresee_closure(store, wish, now)
        decisions = {one.number: one.chosen for one in foreseen.displaced}
    is_brief = not decisions and wish.during.minutes <= MINUTES_A_DAY
    with store.write(brief=is_brief) as session:
        area = load_area(session, wish.area_id)
        check_closure(wish, now)
        row = ClosureRow(
            area_id=area.id,
            starts_at=wish.during.starts_at,
            ends_at=wish.during.ends_at,
            condition=wish.condition.value,
            words=wish.words,
            reason=wish.reason,
            created_at=now,
            lifted_at=None,
        )
        session.add(row)
        session.flush()
        settled = Settled(0, 0)
        if wish.condition is Condition.CLOSED:
            settled = _take_ground(session, row, area, wish, decisions, now)
        describe_change(session, _told_words(area, wish, settled))
        return ClosureDone(row.id, _done_words(area, wish, settled), settled)


def is_in_the_way(row: BookingRow) -> bool:
    """Tell whether a booking is somebody's who has to go, not a closure."""
    return row.purpose is not Purpose.CLOSED


def check_closure(wish: ClosureWish, now: datetime) -> None:
    """Refuse a closure that cannot be.

    Raises:
        RefusedError: If its time has passed, it lasts too long, or no reason is given.
    """
    if wish.during.ends_at <= now:
        raise RefusedError(_("This time has passed; choose a later end."))
    if (wish.during.ends_at - wish.during.starts_at).days > LONGEST_DAYS:
        raise RefusedError(
            _(
                "Close ground for at most %(longest_days)s days at a time.",
                longest_days=LONGEST_DAYS,
            )
        )
    if not wish.reason:
        raise RefusedError(_("Say why, so that people are told: “waterlogged”, “frost”."))


def find_in_the_way(
    session: Session, area: AreaRow, wish: ClosureWish, own: Collection[int] = ()
) -> tuple[list[BookingRow], list[BookingRow]]:
    """Return the sessions that have to go, and the smaller closures that are replaced.

    Args:
        session: An open session.
        area: The ground that is needed.
        wish: When it is.
        own: Bookings by which the closure itself holds ground already.

    Raises:
        ClashError: If a part is closed already beyond this closure.
    """
    held = find_holders(session, area.pitch_id, area.cells, wish.during)
    rows = [row for row in held if row.id not in own]
    sessions = [row for row in rows if is_in_the_way(row)]
    closed = [row for row in rows if not is_in_the_way(row)]
    beyond = [
        row
        for row in closed
        if row.cells & ~area.cells
        or row.starts_at < wish.during.starts_at
        or row.ends_at > wish.during.ends_at
    ]
    if beyond:
        raise ClashError(
            clashes_from_rows(session, beyond[:3]),
            advice=_("It is closed already; open it again first, or choose other times."),
        )
    return sessions, closed


def _take_ground(
    session: Session,
    row: ClosureRow,
    area: AreaRow,
    wish: ClosureWish,
    decisions: Mapping[int, str],
    now: datetime,
) -> Settled:
    sessions, smaller = find_in_the_way(session, area, wish)
    settled = settle_displaced(session, sessions, decisions, now)
    for closed in smaller:
        closed.is_withdrawn = True
        note_change(closed, now)
    session.flush()
    for piece in day_pieces(wish.during, load_zone(session)):
        add_day(session, row, closed_day(wish, piece), now)
    return place_settled(session, settled)


def closed_day(wish: ClosureWish, piece: TimeRange) -> BookingWish:
    """Return the booking that holds closed ground for a day or a piece of one."""
    return BookingWish(
        area_id=wish.area_id,
        during=piece,
        purpose=Purpose.CLOSED,
        squad_id=None,
        holder=wish.reason,
        note="",
        is_fixed=True,
    )


def add_day(session: Session, row: ClosureRow, day: BookingWish, now: datetime) -> None:
    """Let a closure hold its ground for one day more.

    Raises:
        ClashError: If somebody holds a part of it.
    """
    booking = insert_booking(session, day, now)
    row.days.append(ClosureDayRow(booking_id=booking.id))


def _told_words(area: AreaRow, wish: ClosureWish, settled: Settled) -> str:
    """Say for the list of changes what was done, a clause."""
    if wish.condition is not Condition.CLOSED:
        return _(
            "set a condition on %(area)s, %(allowed)s: %(reason)s",
            area=place_name(area),
            allowed=_allowed(wish),
            reason=wish.reason,
        )
    words = _("closed %(area)s: %(reason)s", area=place_name(area), reason=wish.reason)
    return f"{words}; {settled.words}"


def _allowed(wish: ClosureWish) -> str:
    return wish.words if wish.condition is Condition.OTHER else term(wish.condition.value)


def _done_words(area: AreaRow, wish: ClosureWish, settled: Settled) -> str:
    """Say what a closure is and what became of the displaced, a sentence or two."""
    if wish.condition is not Condition.CLOSED:
        return _(
            "%(area)s: %(allowed)s. Nobody is displaced.",
            area=place_name(area),
            allowed=_allowed(wish),
        )
    return _(
        "%(area)s is closed. %(settled)s.", area=place_name(area), settled=sentence(settled.words)
    )


def all_withdrawn(displaced: Sequence[Displaced]) -> dict[int, str]:
    """Return the decision to withdraw every displaced session."""
    return {one.number: WITHDRAW for one in displaced}
