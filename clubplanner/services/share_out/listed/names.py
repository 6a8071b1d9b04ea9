"""What proposals are called, where one is chosen: without taking apart what they hold."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from sqlalchemy import case, select

from clubplanner.services.rows.seasons.stretches import lone_day
from clubplanner.store.tables.booking_tables import ShareOutRow
from clubplanner.store.tables.club_tables import StretchRow

if TYPE_CHECKING:
    from collections.abc import Collection

    from clubplanner.store.engine import Store

FIRST_DAY = case((StretchRow.id.is_(None), ShareOutRow.outcome["first"].as_string()))
"""The first day of a proposal of a day that lies in no stretch."""


@dataclass(frozen=True, slots=True)
class ShareOutName:
    """A proposal to choose."""

    number: int
    stretch_name: str


def name_share_outs(store: Store, numbers: Collection[int]) -> tuple[ShareOutName, ...]:
    """Return proposals to choose from, newest first, without taking apart what they hold."""
    with store.read() as session:
        rows = session.execute(
            select(ShareOutRow.id, StretchRow.name, FIRST_DAY)
            .outerjoin(ShareOutRow.stretch)
            .where(ShareOutRow.id.in_(numbers))
            .order_by(ShareOutRow.id.desc())
        )
        return tuple(
            ShareOutName(number, name_of_stretch(name, first)) for number, name, first in rows
        )


def name_of_stretch(name: str | None, first: str | None) -> str:
    """Return the stretch's name, or the lone day's that lies in none."""
    return lone_day(date.fromisoformat(first or "")).name if name is None else name
