"""Closures and conditions as values, for whoever reads no words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.times.times import TimeRange
from clubplanner.services.evening.closures.reopening import load_closure, stand_of
from clubplanner.services.places.away import closed_numbers
from clubplanner.services.places.closure_list import is_in_force
from clubplanner.services.places.coming_back import foresee_returns
from clubplanner.store.tables.season_tables import ClosureDayRow, ClosureRow

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.services.places.coming_back import Return
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class WholeClosure:
    """A closure, or a condition of ground that is open.

    Attributes:
        number: Its number.
        pitch_key: The pitch.
        area_key: The area of it.
        during: From when to when it was made for.
        condition: How far it is closed.
        reason: Why, in words.
        words: What is allowed, for a condition of another kind; else blank.
        is_in_force: Whether it still holds, now or ahead.
        stand: What stands of it: who changes it hands that back.
        returns: Who had to go and is not back; looked for where one closure is shown.
    """

    number: int
    pitch_key: str
    area_key: str
    during: TimeRange
    condition: Condition
    reason: str
    words: str
    is_in_force: bool
    stand: str
    returns: tuple[Return, ...] = ()


def list_whole_closures(store: Store, now: datetime) -> tuple[WholeClosure, ...]:
    """List closures and conditions that are in force or still to come, by number."""
    with store.read() as session:
        with_days = selectinload(ClosureRow.days).selectinload(ClosureDayRow.booking)
        query = select(ClosureRow).where(ClosureRow.ends_at > now)
        rows = session.scalars(query.order_by(ClosureRow.id).options(with_days))
        return tuple(_whole(row, now) for row in rows if is_in_force(row, now))


def see_whole_closure(store: Store, number: int, now: datetime) -> WholeClosure:
    """Return one closure, in force or not, and who could come back.

    Raises:
        MissingError: If there is none of that number.
    """
    with store.read() as session:
        row = load_closure(session, number)
        return _whole(row, now, foresee_returns(session, closed_numbers(session, row), (), now))


def _whole(row: ClosureRow, now: datetime, returns: tuple[Return, ...] = ()) -> WholeClosure:
    return WholeClosure(
        row.id,
        row.area.pitch.key,
        row.area.key,
        TimeRange(row.starts_at, row.ends_at),
        Condition(row.condition),
        row.reason,
        row.words,
        is_in_force(row, now),
        stand_of(row),
        returns,
    )
