"""Places of a re-share that another can always stand in for: dominated columns.

A place that clashes with no more than another of the same ask and day can take its stead in every
plan: all others stay where they are, as many sessions are placed, and no more squads are disturbed
unless the other one is where its squad stands. How far sessions move does change, so the way is
asked with all places.

This holds as long as plans are sound by twos. What is counted over a plan as a whole (the wear of a
pitch, evenings in a row) is left alone: such a place stands in for no other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.rules.book import RULES, ground_clashes, people_clashes
from clubplanner.sharing.rules.people.persons import people_shared

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from clubplanner.sharing.again.reshare_places import Places

    Mask = NDArray[np.bool_]

ROUNDS = 2
"""How often it is looked what the places left make superfluous; a third time finds next to none."""


def undominated(places: Places, apt: Mask) -> Mask:
    """Leave out places that another one can stand in for.

    For every plan of the places given there is one of those returned that places the same sessions
    on the same days and disturbs none but squads that the plan disturbs.

    Args:
        places: What the re-share chooses from.
        apt: Rows that plans can use.
    """
    left = apt.copy()
    is_held = _held(places)
    can_stand_in = ~_counted(places)
    groups = list(_groups(places, apt))
    for _ in range(ROUNDS):
        before = np.count_nonzero(left)
        for members, others, clashes in groups:
            there = np.flatnonzero(left[members])
            gone = _superfluous(
                clashes[there][:, left[others]],
                is_held[members[there]],
                can_stand_in[members[there]],
            )
            left[members[there[gone]]] = False
        if np.count_nonzero(left) == before:
            break
    return left


def _held(places: Places) -> Mask:
    """Mark places that stay in whatever they clash with: pinned ones, and where squads can stay."""
    held: Mask = places.rows.session >= 0
    for squad, row in zip(places.owners, places.kept, strict=True):
        if row is not None and squad not in places.hit:
            held[row] = True
    return held


def _counted(places: Places) -> Mask:
    """Mark places that count towards what a plan comes to as a whole."""
    counted = np.zeros(len(places.rows), dtype=bool)
    for rule in RULES:
        if rule.counted is not None:
            counted |= rule.counted(places.terrain, places.rows)
    return counted


def _groups(
    places: Places, apt: Mask
) -> Iterator[tuple[NDArray[np.int64], NDArray[np.int64], Mask]]:
    """Yield for each ask and day its rows, other rows that clash with some of them, and which."""
    terrain, rows = places.terrain, places.rows
    shared = people_shared(terrain)
    on_day = [np.flatnonzero(apt & (rows.day == day)) for day in range(len(terrain.problem.days))]
    for ask in range(len(terrain.problem.asks)):
        own = apt & (rows.ask == ask)
        friends = np.flatnonzero(apt & shared[ask][rows.ask])
        for day, there in enumerate(on_day):
            members = np.flatnonzero(own & (rows.day == day))
            if len(members) < 2:
                continue
            others = np.union1d(there, friends)
            others = others[(rows.ask[others] != ask) | (rows.day[others] != day)]
            some, more = rows.take(members), rows.take(others)
            clashes = ground_clashes(terrain, some, more) | people_clashes(terrain, some, more)
            is_met = clashes.any(axis=0)
            yield members, others[is_met], clashes[:, is_met]


def _superfluous(clashes: Mask, is_held: Mask, can_stand_in: Mask) -> NDArray[np.int64]:
    """Find the places of an ask and day that another one left can stand in for.

    Args:
        clashes: By place and place of others: whether the two clash.
        is_held: Whether a place stays in anyway.
        can_stand_in: Whether a place can stand in for another.
    """
    bits = np.packbits(clashes, axis=1)
    # by place and place: whether the first clashes with no more than the second
    is_within: Mask = np.asarray(~(bits[:, None, :] & ~bits[None, :, :]).any(axis=2))
    np.fill_diagonal(is_within, val=False)
    left = can_stand_in.copy()
    gone = []
    for place in range(len(clashes) - 1, -1, -1):
        if not is_held[place] and (is_within[:, place] & left).any():
            left[place] = False
            gone.append(place)
    return np.array(gone, dtype=np.int64)
