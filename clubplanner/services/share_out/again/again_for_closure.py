"""Closing ground by sharing out again: what is fixed goes at once, the rest is a proposal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.booked.closures import Condition, day_pieces
from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.domain.keys import ground_key
from clubplanner.domain.times.times import MINUTES_A_DAY, minute_from_instant
from clubplanner.errors import RefusedError
from clubplanner.language import _
from clubplanner.services.evening.closures.closing import check_closure, is_in_the_way
from clubplanner.services.places.displaced import place_settled, settle_displaced
from clubplanner.services.problem.standing_people import does_stand
from clubplanner.services.problem.standing_plans import Disruption, Scope
from clubplanner.services.proposals.proposals import GroundClosed, Sort
from clubplanner.services.rows.bookings.booking_rows import find_holders, load_area
from clubplanner.services.rows.snapshot import booking_from_row, load_zone
from clubplanner.services.share_out.again.again import load_again, propose_reshare
from clubplanner.store.journal.journal import describe_change, explain_change

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.times.times import TimeRange
    from clubplanner.services.evening.closures.closing import ClosureWish
    from clubplanner.sharing.values.problem import Effort
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.booking_tables import BookingRow


def reshare_for_closure(
    store: Store,
    wish: ClosureWish,
    decisions: Mapping[int, str],
    effort: Effort,
    now: datetime,
) -> int:
    """Propose how the rest of an evening, a week or a stretch goes on without some ground.

    Sessions that a share-out may not touch (matches, hires, put there by hand) are settled
    at once as decided, so that publishing the proposal finds the ground free. Publishing it moves
    as few others as can be, and closes the ground in the same transaction.

    Args:
        store: The database.
        wish: What is closed, when and why.
        decisions: Booking number → where it goes, for the sessions settled at once; more do no
            harm.
        effort: How long to try.
        now: The present instant.

    Returns:
        The number of the proposal.

    Raises:
        ClashError: If a chosen place has been taken in the meantime.
        MissingError: If the area is gone, or no stretch holds the day.
        OutdatedError: If a session has come since the person looked.
        RefusedError: If the closure cannot be, or nothing is published to share out again.
        ShareOutError: If the search broke off.
    """
    if wish.condition is not Condition.CLOSED:
        raise RefusedError(_("Only closed ground displaces anybody; set the condition instead."))
    with store.write() as session:
        check_closure(wish, now)
        area = load_area(session, wish.area_id)
        days = _pieces(ground_key(area.pitch.key, area.key), wish, load_zone(session))
        scope = Scope(_sort(days), days[0].first)
        load_again(session, scope, Disruption(closures=days), now)  # refused before anybody moves
        rows = find_holders(session, area.pitch_id, area.cells, wish.during)
        firm = [row for row in rows if is_in_the_way(row) and _is_firm(row)]
        settled = settle_displaced(session, firm, decisions, now)
        place_settled(session, settled)
        if firm:
            describe_change(
                session,
                _("made room: %(pitch)s, %(reason)s", pitch=area.pitch.name, reason=wish.reason),
            )
            explain_change(session, Reason(Cause.CLOSED, wish.reason))
    return propose_reshare(store, scope, Disruption(closures=days), effort, now)


def _is_firm(row: BookingRow) -> bool:
    """Tell whether a share-out may not touch a booking; training under way it cuts short."""
    return does_stand(booking_from_row(row))


def _pieces(ground: str, wish: ClosureWish, zone: ZoneInfo) -> tuple[GroundClosed, ...]:
    """Write a closure as days with times; days in a row that are closed wholly are one piece."""
    pieces: list[GroundClosed] = []
    for piece in day_pieces(wish.during, zone):
        day = piece.starts_at.astimezone(zone).date()
        start, end = _minutes(piece, day, zone)
        last = pieces[-1] if pieces else None
        if last is not None and (last.start_min, last.end_min) == (0, MINUTES_A_DAY) == (
            start,
            end,
        ):
            pieces[-1] = GroundClosed(ground, last.first, day, 0, MINUTES_A_DAY, wish.reason)
        else:
            pieces.append(GroundClosed(ground, day, day, start, end, wish.reason))
    return tuple(pieces)


def _minutes(piece: TimeRange, day: date, zone: ZoneInfo) -> tuple[int, int]:
    end = minute_from_instant(piece.ends_at, day, zone)
    return minute_from_instant(piece.starts_at, day, zone), min(end, MINUTES_A_DAY)


def _sort(days: tuple[GroundClosed, ...]) -> Sort:
    first, last = days[0].first, days[-1].last
    if first == last:
        return Sort.EVENING
    same_week = first.isocalendar()[:2] == last.isocalendar()[:2]
    return Sort.WEEK if same_week else Sort.REST
