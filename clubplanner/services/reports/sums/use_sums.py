"""Who had which ground for how long, month by month.

A session that reaches over midnight into another month, or out of the report's dates, is cut there:
each part counts where it lies. How many sessions there are is counted where they begin.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.services.reports.sums.booked_time import NOBODY, PURPOSES
from clubplanner.services.reports.sums.report_values import Amount, GroundUse, Place, Use, User, Who
from clubplanner.services.rows.own_club import club_names_by_key, own_squads
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from sqlalchemy.orm import Session

    from clubplanner.services.reports.sums.booked_time import BookedTime, Numbers
    from clubplanner.services.reports.sums.slices import Slice


@dataclass(frozen=True, slots=True)
class AreaOf:
    """Where a booked area lies, and how large it is, in patches."""

    place: Place
    patches: int


def sum_uses(
    booked: BookedTime,
    slices: Sequence[Slice],
    areas: Mapping[int, AreaOf],
    users: Mapping[int, User],
) -> tuple[tuple[Use, ...], tuple[GroundUse, ...]]:
    """Return what was booked and not withdrawn, by who and by where; closed ground is no use.

    Both add up to the same. Each by the other would be as many values as there are bookings: a
    year of 2,000 squads on 300 pitches has half a million.

    Args:
        booked: What touches the time of the slices.
        slices: Parts of time, none overlapping.
        areas: Every area by its number.
        users: Squads by their numbers.

    Returns:
        One for each user, purpose and part of time that has anything, and one for each pitch.
    """
    sizes = np.zeros(max(areas, default=0) + 1, dtype=np.int64)
    sizes[list(areas)] = [area.patches for area in areas.values()]
    one_of_each = np.unique(booked.pitches, return_index=True)[1]
    places = {
        pitch: areas[area].place
        for pitch, area in zip(
            booked.pitches[one_of_each].tolist(), booked.areas[one_of_each].tolist(), strict=True
        )
    }
    uses: list[Use] = []
    on_ground: list[GroundUse] = []
    for one in slices:
        first, after = int(one.starts_at.timestamp()), int(one.ends_at.timestamp())
        during = (booked.starts < after) & (booked.ends > first) & ~booked.is_closed
        starts, ends = booked.starts[during], booked.ends[during]
        seconds = np.minimum(ends, after) - np.maximum(starts, first)
        amounts = np.stack((seconds, seconds * sizes[booked.areas[during]], starts >= first))
        purposes = booked.purposes[during]
        who = purposes, booked.squads[during], booked.holders[during]
        for (purpose, squad, holder), amount in _added(who, amounts):
            kind = PURPOSES[purpose]
            user = users[squad] if squad != NOBODY else _user(kind, booked.names[holder])
            uses.append(Use(user, one.month, kind, one.is_past, amount))
        for (purpose, pitch), amount in _added((purposes, booked.pitches[during]), amounts):
            on_ground.append(
                GroundUse(places[pitch], one.month, PURPOSES[purpose], one.is_past, amount)
            )
    return tuple(uses), tuple(on_ground)


def _added(kinds: Sequence[Numbers], amounts: Numbers) -> Iterator[tuple[tuple[int, ...], Amount]]:
    """Add up what is of the same kind, exactly.

    Args:
        kinds: Arrays of numbers, 0 or more, that together say of which kind each is.
        amounts: Three rows: seconds, patches × seconds, and how many begin.

    Yields:
        A kind and what there is of it, by kind.
    """
    key = np.zeros(amounts.shape[1], dtype=np.int64)
    for numbers in kinds:
        key = key * (int(numbers.max(initial=0)) + 1) + numbers
    _keys, first, group = np.unique(key, return_index=True, return_inverse=True)
    added = np.zeros((len(first), 3), dtype=np.int64)
    np.add.at(added, group, amounts.T)
    told = zip(*(numbers[first].tolist() for numbers in kinds), strict=True)
    for kind, amount in zip(told, added.tolist(), strict=True):
        yield kind, Amount(*amount)


def load_users(session: Session) -> dict[int, User]:
    """Return every squad as a user, by its number, in the club's order."""
    clubs = club_names_by_key(session)
    rows = session.execute(
        select(SquadRow.id, SquadRow.key, SquadRow.name, SquadRow.age_group)
        .where(*own_squads(session))
        .order_by(SquadRow.position, SquadRow.id)
    )
    return {
        number: User(Who.SQUAD, key, name, group, clubs.get(key, ""))
        for number, key, name, group in rows
    }


def _user(purpose: Purpose, name: str) -> User:
    kind = Who.HIRER if purpose is Purpose.HIRE else Who.OTHER
    return User(kind, name, name)
