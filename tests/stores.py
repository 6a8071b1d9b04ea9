"""Looking things up in a test's database, and rows put there past the services."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from shapely import box
from sqlalchemy import func, insert, select, text

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.services.places.ruling import Overruling
from clubplanner.services.rows.bookings.booking_rows import BookingWish, insert_booking
from clubplanner.services.rows.snapshot import WITH_NAMES
from clubplanner.store import postgres
from clubplanner.store.disk import SharedWait
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.squad_tables import SquadRow
from tests.builders import NOW, make_range

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    import pytest
    from sqlalchemy import Connection

    from clubplanner.domain.times.times import TimeRange
    from clubplanner.store.engine import Store

    MadeOnce = Callable[[Callable[[Store], object]], Path]
    Filled = Callable[[Callable[[Store], object]], Store]

ALL_THE_SAME = Overruling("The committee wants it.", None)
"""Whatever rule stands in the way is overruled; for tests of something else."""
SQUARE = box(0, 0, 10, 10)
TOP = "osier-lane-top-pitch"
MEADOW = "osier-lane-meadow"


class WatchedWait(SharedWait):
    """Counts the waits for the disk, and waits for nothing."""

    waits = 0

    def wait(self, reach: Callable[[], None], **_unused: float) -> None:
        """Count one."""
        assert callable(reach)
        self.waits += 1


def watching_disk(store: Store, monkeypatch: pytest.MonkeyPatch) -> tuple[Store, WatchedWait]:
    """Return the same database with its waits counted; none of what was written is there yet."""
    monkeypatch.setattr(postgres, "_ALL_ON_DISK", "SELECT false")
    disk = WatchedWait()
    return replace(store, disk=disk), disk


def area_number(store: Store, area_key: str = "third-1", pitch_key: str = TOP) -> int:
    """Return the number of an area."""
    with store.read() as session:
        query = select(AreaRow.id).join(AreaRow.pitch)
        return session.scalars(
            query.where(PitchRow.key == pitch_key, AreaRow.key == area_key)
        ).one()


def squad_number(store: Store, squad_key: str = "u13-kestrels") -> int:
    """Return the number of a squad."""
    with store.read() as session:
        return session.scalars(select(SquadRow.id).where(SquadRow.key == squad_key)).one()


def make_wish(
    store: Store,
    area_key: str = "third-1",
    during: TimeRange | None = None,
    *,
    pitch_key: str = TOP,
    squad_key: str | None = "u13-kestrels",
    purpose: Purpose = Purpose.TRAINING,
    holder: str = "",
    is_fixed: bool = False,
) -> BookingWish:
    """Return a wish for training on a third of the top pitch, 18:00–19:15 on a Wednesday."""
    return BookingWish(
        area_id=area_number(store, area_key, pitch_key),
        during=during if during is not None else make_range(),
        purpose=purpose,
        squad_id=None if squad_key is None else squad_number(store, squad_key),
        holder=holder or squad_key or "Somebody",
        note="",
        is_fixed=is_fixed,
    )


def put_booking(store: Store, wish: BookingWish, now: datetime = NOW) -> int:
    """Put a booking in the books as a fact, asking no rule; return its number.

    Raises:
        ClashError: If somebody holds the ground.
    """
    with store.write() as session:
        return insert_booking(session, wish, now).id


def booking_row(store: Store, number: int) -> BookingRow:
    """Return a booking as it is stored."""
    with store.read() as session:
        query = select(BookingRow).where(BookingRow.id == number).options(*WITH_NAMES)
        return session.scalars(query).one()


def count_rows(store: Store) -> dict[str, int]:
    """Return how many rows each table has."""
    with store.read() as session:
        return {
            name: session.scalar(text(f"SELECT count(*) FROM {name}")) or 0  # noqa: S608
            for name in Base.metadata.tables
        }


def insert_row(connection: Connection, number: int, **changes: Any) -> None:
    """Insert a booking by plain SQL, on pitch 1, cells 3, an hour from noon.

    `starts_at` and `ends_at` may be seconds since 1970; the other changes are columns. Its area is
    that of its pitch and cells (see `put_area`) unless it is among them.
    """
    cells, pitch = changes.get("cells", 3), changes.get("pitch_id", 1)
    values: dict[str, Any] = {
        "id": number,
        "uid": f"row-{number}",
        "pitch_id": pitch,
        "area_id": changes.get("area_id") or put_area(connection, cells, pitch),
        "cells": cells,
        "starts_at": instant(0),
        "ends_at": instant(60),
        "purpose": Purpose.TRAINING,
        "squad_id": None,
        "holder": "Somebody",
        "note": "",
        "is_withdrawn": False,
        "is_fixed": False,
        "sequence": 0,
        "created_at": NOW,
        "changed_at": NOW,
    }
    connection.execute(insert(BookingRow.__table__).values({**values, **changes}))  # type: ignore[arg-type]


def put_area(connection: Connection, cells: int, pitch: int = 1) -> int:
    """Return the number of the area of a pitch that has these cells; it is put there if need be.

    Where cells can be none of an area's, that of cells 3 stands for it.
    """
    if cells <= 0:
        cells = 3
    ours = select(AreaRow.id).where(AreaRow.pitch_id == pitch, AreaRow.cells == cells)
    found = connection.execute(ours).scalar()
    if found is None:
        count = connection.execute(select(func.count(AreaRow.id))).scalar_one()
        words = {"key": f"{count}", "position": 0, "name": "", "cut": ""}
        values = {"pitch_id": pitch, "cells": cells, "polygon": SQUARE} | words
        connection.execute(insert(AreaRow.__table__).values(values))  # type: ignore[arg-type]
    return found or connection.execute(ours).scalar_one()


def instant(minute: int) -> datetime:
    """Return an instant some minutes after a noon."""
    return datetime.fromtimestamp(
        datetime(2026, 6, 1, 12, tzinfo=UTC).timestamp() + minute * 60, UTC
    )
