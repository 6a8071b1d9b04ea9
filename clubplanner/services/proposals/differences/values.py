"""What publishing a proposal changes, as tables and as values."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.domain.times.seconds import days_in
from clubplanner.services.proposals.dated_tables import (
    AREA,
    ENDS,
    ID,
    SEQUENCE,
    STARTS,
    W_DAY,
    WANTED_PLACE,
    booked_from,
    wanted_from,
)

if TYPE_CHECKING:
    from collections.abc import Mapping
    from zoneinfo import ZoneInfo

    from numpy.typing import NDArray

    from clubplanner.domain.times.times import TimeRange
    from clubplanner.services.proposals.dated import Booked, Ground, Names, Wanted
    from clubplanner.services.proposals.dated_tables import Table


@dataclass(frozen=True, slots=True)
class Closed:
    """Ground that is closed on one date."""

    area: Ground
    during: TimeRange
    reason: str

    def meets(self, one: Booked, ground: Ground) -> bool:
        """Whether a booking on a ground lies on the closed one while it is closed."""
        return (
            ground.pitch_id == self.area.pitch_id
            and bool(ground.cells & self.area.cells)
            and one.starts < int(self.during.ends_at.timestamp())
            and int(self.during.starts_at.timestamp()) < one.ends
        )

    def among(self, booked: Table, grounds: Mapping[int, Ground]) -> NDArray[np.bool_]:
        """Tell for each of many bookings whether it does, as `meets` says."""
        areas = [
            number
            for number, ground in grounds.items()
            if ground.pitch_id == self.area.pitch_id and ground.cells & self.area.cells
        ]
        found: NDArray[np.bool_] = (
            np.isin(booked[:, AREA], areas)
            & (booked[:, STARTS] < int(self.during.ends_at.timestamp()))
            & (booked[:, ENDS] > int(self.during.starts_at.timestamp()))
        )
        return found


@dataclass(frozen=True, eq=False)
class Difference:
    """What publishing changes: tables (`dated_tables.py`), and the same as values where asked for.

    Attributes:
        kept_rows: Bookings that stay as they are.
        moved_rows: Bookings that go elsewhere.
        moved_to: Their new places, row by row.
        added_rows: New sessions.
        withdrawn_rows: Bookings that are given back.
        written: Who a booking is for where that is no squad, by its number.
        closed: Ground that is closed, a piece a date.
        names: Of the ground and the squads of all these.
    """

    kept_rows: Table
    moved_rows: Table
    moved_to: Table
    added_rows: Table
    withdrawn_rows: Table
    written: Mapping[int, str]
    closed: tuple[Closed, ...]
    names: Names

    @cached_property
    def kept(self) -> tuple[Booked, ...]:
        """Bookings that stay as they are."""
        return booked_from(self.kept_rows, self.written)

    @cached_property
    def moves(self) -> tuple[tuple[Booked, Wanted], ...]:
        """Bookings that go elsewhere, with their new places."""
        booked = booked_from(self.moved_rows, self.written)
        return tuple(zip(booked, wanted_from(self.moved_to), strict=True))

    @cached_property
    def added(self) -> tuple[Wanted, ...]:
        """New sessions."""
        return wanted_from(self.added_rows)

    @cached_property
    def withdrawn(self) -> tuple[Booked, ...]:
        """Bookings that are given back."""
        return booked_from(self.withdrawn_rows, self.written)

    def first_day(self, zone: ZoneInfo) -> date | None:
        """Return the first date on which anything but closed ground changes; None for none."""
        day_of = days_in(zone)
        gone = np.concatenate((self.moved_rows[:, STARTS], self.withdrawn_rows[:, STARTS]))
        new = np.concatenate((self.moved_to[:, W_DAY], self.added_rows[:, W_DAY]))
        days = [day_of(int(gone.min()))] if len(gone) else []
        days += [date.fromordinal(int(new.min()))] if len(new) else []
        return min(days, default=None)

    @property
    def digest(self) -> str:
        """A short text that is the same while the difference is."""
        whole = hashlib.sha256()
        noted, place = (ID, SEQUENCE), list(WANTED_PLACE)
        for what, table in (
            ("k", self.kept_rows[:, noted]),
            ("m", np.hstack((self.moved_rows[:, noted], self.moved_to[:, place]))),
            ("a", self.added_rows[:, place]),
            ("w", self.withdrawn_rows[:, noted]),
        ):
            whole.update(f"{what}{len(table)}.".encode())
            whole.update(table.astype("<i8").tobytes())
        return whole.hexdigest()[:16]
