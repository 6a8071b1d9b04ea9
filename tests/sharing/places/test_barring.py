"""Which places a plan leaves free, against the rules asked about every pair."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from hypothesis import HealthCheck, assume, given, settings

from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places import barring
from clubplanner.sharing.places.barring import Barring
from clubplanner.sharing.places.in_the_way import Index
from clubplanner.sharing.places.listing import list_candidates
from tests.sharing.builders import make_club
from tests.sharing.test_against_brute_force import tiny_problems

if TYPE_CHECKING:
    import pytest

    from clubplanner.sharing import Problem


def _barred(known: Barring, row: int) -> list[int]:
    spots = known.barred_by(int(known.spots[row])).tolist()
    assert len(spots) == len(set(spots))
    return sorted(known.rows[spots].tolist())


@given(problem=tiny_problems())
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_a_session_bars_what_the_rules_keep_from_being_beside_it(problem: Problem) -> None:
    """For every place of a drawn problem it is what pairs of the rules' own make it."""
    terrain = survey(problem)
    rows = list_candidates(terrain)
    assume(len(rows))
    known, index = Barring(terrain, rows), Index(terrain, rows)
    for row in range(len(rows)):
        assert _barred(known, row) == index.in_the_way(row).tolist()


def test_changeover_and_coaches_of_a_club_bar_as_the_rules_say() -> None:
    """The same with ten minutes between sessions, for some places of a small club."""
    terrain = survey(replace(make_club(6), changeover_minutes=10))
    rows = list_candidates(terrain)
    known, index = Barring(terrain, rows), Index(terrain, rows)
    for row in range(0, len(rows), 31):
        assert _barred(known, row) == index.in_the_way(row).tolist()


def test_what_is_free_is_what_no_session_of_the_plan_bars() -> None:
    """Sessions come and go; free places are listed the smallest ground first, then by points."""
    terrain = survey(make_club(6))
    rows = list_candidates(terrain)
    known, index = Barring(terrain, rows), Index(terrain, rows)
    size = terrain.share_of_pitch[rows.ground]
    plan: list[int] = []
    for row in range(0, len(rows), 197):
        known.add(int(known.spots[row]))
        plan.append(row)
        if len(plan) > 2:
            known.remove(int(known.spots[plan.pop(0)]))
        gone = {int(other) for one in plan for other in index.in_the_way(one)}
        for ask in range(len(terrain.problem.asks)):
            free = [n for n in np.flatnonzero(rows.ask == ask).tolist() if n not in gone]
            free.sort(key=lambda n: (size[n], -rows.score[n], n))
            assert known.rows[known.free(ask)].tolist() == free
            first = known.first_free(ask)
            assert (first is None) == (not free)
            if first is not None:
                alike = [n for n in free if size[n] == size[free[0]]]
                assert int(known.rows[first]) == free[0]
                assert known.rows[known.as_free(first)].tolist() == alike
        there = known.in_the_way(int(known.spots[row]))
        assert sorted(known.rows[there].tolist()) == sorted(
            one for one in plan if row in index.in_the_way(one)
        )


def test_what_is_forgotten_for_lack_of_room_is_worked_out_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """With room for next to nothing the answers are the same, and no more is kept than allowed."""
    terrain = survey(make_club(4))
    rows = list_candidates(terrain)
    roomy = Barring(terrain, rows)
    monkeypatch.setattr(barring, "MOST_KEPT", 200)
    tight = Barring(terrain, rows)
    for row in [*range(0, len(rows), 60), 0]:
        assert _barred(tight, row) == _barred(roomy, row)
        assert tight._kept == sum(map(len, tight._known.values()))
        assert tight._kept <= 200 or len(tight._known) == 1
