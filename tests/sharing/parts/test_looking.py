"""Looking at asks one after the other finds what listing them all together finds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from clubplanner.sharing.example.example import example
from clubplanner.sharing.example.example_wants import with_wants
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.parts.looking import look
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.values.extent import most_places
from clubplanner.sharing.values.problem import Placement, Problem
from tests.sharing.builders import make_ask, make_club, make_pitch, make_problem

PIN = Placement("a", 0, "top-whole-0", 0, 1080, 1140)


@pytest.mark.parametrize(
    "problem",
    [
        make_club(12),
        with_wants(example(20, 4, 3, 1.2), 3),
        make_problem(make_pitch(), make_ask("a", pinned=(PIN,)), make_ask("b")),
        make_problem(make_pitch(), make_ask("a", possible=())),
    ],
    ids=["club", "with wants", "pinned", "no time"],
)
def test_what_is_found_is_what_listing_gives(problem: Problem) -> None:
    """Wish points, days and places of each ask are those of the listed places."""
    terrain = survey(problem)
    rows = list_candidates(terrain)
    found = look(terrain)
    assert found.best.tolist() == best_alone(terrain, rows).tolist()
    for number in range(len(problem.asks)):
        own = rows.take(rows.ask == number)
        assert found.days[number] == len(np.unique(own.day))
        free = own.take(own.session < 0)
        pitches = terrain.pitch[free.ground]
        assert found.places[number].tolist() == [
            np.count_nonzero(pitches == n) for n in range(len(terrain.pitches))
        ]
        for pitch in np.unique(pitches).tolist():
            shares = terrain.share_of_pitch[free.ground[pitches == pitch]]
            assert found.least[number, pitch] == shares.min()


@pytest.mark.parametrize("squads", [3, 12])
def test_arithmetic_never_counts_less_than_there_is(squads: int) -> None:
    """Starts times grounds are at least the places that pass every rule."""
    for problem in (make_club(squads), example(squads, 3, 7, 1.0)):
        assert most_places(problem) >= look(survey(problem)).count
        assert most_places(replace(problem, asks=())) == 0
