"""Ground that is open with a condition, and what pages say of it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import joinedload

from clubplanner.domain.booked.closures import Closure, Condition
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.times.times import TimeRange
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.season_tables import ClosureRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session


def load_conditions(
    session: Session, during: TimeRange, known_at: datetime | None = None
) -> tuple[Closure, ...]:
    """Return the conditions that touch a range: ground that is open, but not as usual.

    Args:
        session: A reading session.
        during: The range asked about.
        known_at: As they stood at this instant; None for as they stand.
    """
    query = (
        select(ClosureRow)
        .where(
            ClosureRow.condition != Condition.CLOSED.value,
            ClosureRow.starts_at < during.ends_at,
            ClosureRow.ends_at > during.starts_at,
        )
        .order_by(ClosureRow.starts_at)
        .options(joinedload(ClosureRow.area).joinedload(AreaRow.pitch))
    )
    if known_at is not None:
        query = query.where(ClosureRow.created_at <= known_at)
    found = []
    for row in session.scalars(query):
        lifted = row.lifted_at
        if lifted is not None and known_at is not None and lifted > known_at:
            lifted = None  # nobody knew of it yet
        if lifted is None or lifted > max(row.starts_at, during.starts_at):
            closure = closure_from_row(row)
            if lifted is not None:  # what begins later has no condition any more
                until = min(lifted, row.ends_at)
                closure = replace(closure, during=TimeRange(row.starts_at, until))
            found.append(closure)
    return tuple(found)


def conditions_in_words(
    conditions: Sequence[Closure], pitch_key: str, cells: int = -1
) -> tuple[str, ...]:
    """Write the conditions of a pitch, or of some of its cells, a sentence each."""
    return tuple(
        one.sentence for one in conditions if one.pitch_key == pitch_key and one.cells & cells
    )


def closure_from_row(row: ClosureRow) -> Closure:
    """Read a closure or condition."""
    return Closure(
        number=row.id,
        pitch_key=row.area.pitch.key,
        pitch_name=row.area.pitch.name,
        area_name=place_name(row.area),
        cells=row.area.cells,
        during=TimeRange(row.starts_at, row.ends_at),
        condition=Condition(row.condition),
        reason=row.reason,
        words=row.words,
    )


def place_name(area: AreaRow) -> str:
    """Return the name of an area with its pitch."""
    return part_in_words(area, area.pitch.name)
