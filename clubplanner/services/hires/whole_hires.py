"""Hires as values, for whoever reads no words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.services.hires.hire_rows import (
    dates_of,
    is_live,
    last_day,
    load_hire,
    load_hires,
    mark_of,
    wish_of,
)

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.services.hires.dates import HireWish
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.hire_tables import HireRow


@dataclass(frozen=True, slots=True)
class WholeHire:
    """A hire that stands.

    Attributes:
        number: Its number.
        wish: Who, where and when as a rule.
        pitch_key: Of its ground.
        area_key: The same.
        dates: Every date, with the number of its booking that stands; None for one left out.
        mark: What stands of it: who changes it hands that back.
    """

    number: int
    wish: HireWish
    pitch_key: str
    area_key: str
    dates: tuple[tuple[date, int | None], ...]
    mark: str


def list_whole_hires(store: Store) -> tuple[WholeHire, ...]:
    """List the hires that stand, by name."""
    with store.read() as session:
        return tuple(_whole(row) for row in load_hires(session))


def see_whole_hire(store: Store, number: int) -> WholeHire:
    """Return one hire.

    Raises:
        MissingError: If there is no such hire.
    """
    with store.read() as session:
        return _whole(load_hire(session, number))


def _whole(row: HireRow) -> WholeHire:
    dates = sorted(dates_of(row), key=lambda one: one.day)
    return WholeHire(
        row.id,
        wish_of(row, dates[0].day, last_day(row)),
        row.area.pitch.key,
        row.area.key,
        tuple((one.day, one.booking_id if is_live(one) else None) for one in dates),
        mark_of(row),
    )
