"""Dated sessions as plain values: those that stand, those that a proposal wants, and their names.

A season of a council has a hundred thousand of them. Made into rows of the session they take seven
seconds, as values of a few numbers a twentieth of that; who writes loads the few rows it changes.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from sqlalchemy import select

from clubplanner.domain.keys import ground_key
from clubplanner.domain.times.seconds import instant_of, range_of
from clubplanner.services.rows.remembered import Remembered
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.tables.turn_tables import earlier_name

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.times.times import TimeRange


class Ground(NamedTuple):
    """An area and its pitch, by numbers, keys and names."""

    id: int
    pitch_id: int
    key: str
    pitch_key: str
    name: str
    pitch_name: str
    cut: str
    cells: int

    @property
    def words(self) -> str:
        """The area, with its pitch unless it is all of it."""
        return self.name if self.cut == "whole" else f"{self.name}, {self.pitch_name}"


class Squad(NamedTuple):
    """A squad, by number, key and name."""

    id: int
    key: str
    name: str


class Booked(NamedTuple):
    """A training that stands; its times are whole seconds since 1970.

    `written` is who it is for where that is no squad.
    """

    id: int
    sequence: int
    squad_id: int | None
    area_id: int
    starts: int
    ends: int
    share_out_id: int | None
    written: str = ""

    @property
    def during(self) -> TimeRange:
        """Start and end."""
        return range_of(self.starts, self.ends)

    @property
    def place(self) -> tuple[int | None, int, int, int]:
        """What makes two sessions of a squad the same."""
        return self.squad_id, self.area_id, self.starts, self.ends


class Wanted(NamedTuple):
    """A dated session that a proposal gives a squad; its times are whole seconds since 1970."""

    squad_id: int
    area_id: int
    starts: int
    ends: int
    day: date

    @property
    def during(self) -> TimeRange:
        """Start and end."""
        return range_of(self.starts, self.ends)

    @property
    def place(self) -> tuple[int, int, int, int]:
        """What makes two sessions of a squad the same."""
        return self.squad_id, self.area_id, self.starts, self.ends


@dataclass(frozen=True, slots=True)
class Names:
    """What dated sessions are about.

    Attributes:
        grounds: By number of the area.
        squads: By number.
        earlier: Tells what a squad was called at an instant, None for what it is called now.
    """

    grounds: Mapping[int, Ground]
    squads: Mapping[int, Squad]
    earlier: Callable[[int, datetime], str | None]

    def holder(self, one: Booked) -> str:
        """Return who holds a booking, as its row would say."""
        if one.squad_id is None:
            return one.written
        return self.earlier(one.squad_id, instant_of(one.starts)) or self.squads[one.squad_id].name


def load_names(session: Session) -> Names:
    """Give the names of all ground and squads; the session stays open while they are used."""
    grounds, squads = _KNOWN(session)
    return Names(grounds, squads, partial(earlier_name, session))


def _read_names(session: Session) -> tuple[Mapping[int, Ground], Mapping[int, Squad]]:
    """Read them by columns."""
    areas = session.execute(
        select(
            AreaRow.id,
            AreaRow.pitch_id,
            AreaRow.key,
            PitchRow.key,
            AreaRow.name,
            PitchRow.name,
            AreaRow.cut,
            AreaRow.cells,
        ).join(PitchRow, PitchRow.id == AreaRow.pitch_id)
    )
    squads = session.execute(select(SquadRow.id, SquadRow.key, SquadRow.name))
    return (
        {row[0]: Ground(*row) for row in areas},
        {row[0]: Squad(*row) for row in squads},
    )


_KNOWN = Remembered(_read_names)


def by_ground_key(names: Names) -> dict[str, Ground]:
    """Return the ground by the key under which proposals know it."""
    return {ground_key(one.pitch_key, one.key): one for one in names.grounds.values()}
