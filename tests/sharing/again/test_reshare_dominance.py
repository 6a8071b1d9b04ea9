"""Places that another stands in for: every plan has one as good among the places that are left."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from clubplanner.sharing import Window
from clubplanner.sharing.again.alteration import alter
from clubplanner.sharing.again.reshare_dominance import undominated
from clubplanner.sharing.again.reshare_places import Places
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.values.wants import LoadLimit
from tests.sharing import brute
from tests.sharing.again import test_reshare_crowded, test_reshare_reach
from tests.sharing.again.test_reshare import place
from tests.sharing.builders import make_ask, make_pitch, make_problem

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.sharing import Placement

DRAWS = (test_reshare_reach.draw, test_reshare_crowded.draw)
SEEDS = range(1, 13)

Held = tuple[tuple[str, int], ...]


def places_of(number: int, seed: int) -> Places:
    """Draw what a re-share of a small club chooses from."""
    problem, standing, alteration = DRAWS[number](seed)
    return Places(survey(alter(problem, alteration)), standing)


def known_plans(places: Places) -> Iterator[tuple[tuple[Placement, ...], list[int]]]:
    """Go through every sound plan on the places, with its rows."""
    items = [placement_of(places.terrain, places.rows, n, 0) for n in range(len(places.rows))]
    keys = {place(item): row for row, item in enumerate(items)}
    for plan in brute.every_plan(places.terrain.problem):
        if all(place(item) in keys for item in plan):
            yield plan, [keys[place(item)] for item in plan]


def days_of(plan: tuple[Placement, ...]) -> Held:
    """Tell on which days which asks have their sessions."""
    return tuple(sorted((item.ask, item.day) for item in plan))


@pytest.mark.parametrize("number", [0, 1])
@pytest.mark.parametrize("seed", SEEDS)
def test_for_every_plan_there_is_one_as_good_on_the_places_left(number: int, seed: int) -> None:
    """It has the same sessions on the same days, and disturbs no squad that the plan does not."""
    places = places_of(number, seed)
    left = undominated(places, np.ones(len(places.rows), dtype=bool))
    plans = [
        (days_of(plan), frozenset(places.disturbed_by(rows)), bool(left[rows].all()))
        for plan, rows in known_plans(places)
    ]
    spared: dict[Held, set[frozenset[str]]] = {}
    for held, disturbed, is_left in plans:
        if is_left:
            spared.setdefault(held, set()).add(disturbed)
    for held, disturbed, _ in set(plans):
        assert any(other <= disturbed for other in spared.get(held, ()))


def test_places_are_left_out() -> None:
    """In drawn clubs a good part of the places is superfluous."""
    counts = [places_of(number, seed) for seed in SEEDS for number in (0, 1)]
    every = sum(len(places.rows) for places in counts)
    left = sum(int(undominated(p, np.ones(len(p.rows), dtype=bool)).sum()) for p in counts)
    assert left < 0.8 * every


@pytest.mark.parametrize(
    ("limited", "left_on"),
    [((), ["top"]), (("top",), ["lane"]), (("lane",), ["top"]), (("top", "lane"), ["top", "lane"])],
)
def test_what_counts_towards_a_sum_stands_in_for_nothing(
    limited: tuple[str, ...], left_on: list[str]
) -> None:
    """A place on a pitch whose wear is limited does not take the stead of any other."""
    grounds = (*make_pitch(cuts=("whole",)), *make_pitch("lane", venue="lane", cuts=("whole",)))
    problem = make_problem(
        grounds, make_ask("a", possible=(Window(0, 1080, 1140),)), step_minutes=60
    )
    problem = replace(problem, loads=tuple(LoadLimit(pitch, 600) for pitch in limited))
    places = Places(survey(problem), ())
    rows = places.rows.take(undominated(places, np.ones(len(places.rows), dtype=bool)))
    pitches = [places.terrain.pitches[n] for n in places.terrain.pitch[rows.ground].tolist()]
    assert sorted(pitches) == sorted(left_on)
