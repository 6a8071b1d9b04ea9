"""The points of every place, against the plain code of the checker."""

from __future__ import annotations

from dataclasses import replace

from clubplanner.sharing import Problem, Window
from clubplanner.sharing.checks.places_alone import lost_dates
from clubplanner.sharing.checks.worth import wish
from clubplanner.sharing.example.example import example
from clubplanner.sharing.example.example_wants import with_wants
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.listing import list_candidates


def with_times(problem: Problem) -> Problem:
    """Give every other ask a better hour on its first day only."""
    asks = tuple(
        replace(ask, preferred=(Window(w.day, w.start_min, w.start_min + ask.minutes),))
        for ask in problem.asks
        for w in ask.possible[:1]
    )
    return replace(problem, asks=asks[::2] + problem.asks[1::2])


def test_every_place_has_the_points_of_the_plain_rule() -> None:
    """Time, closeness, lost dates and graded wishes add up alike."""
    problem = with_times(with_wants(example(10, 3, 4, 1.2), 4))
    assert any(ask.wishes for ask in problem.asks)
    rows = list_candidates(survey(problem), keep_all=True)
    assert len(set(rows.score.tolist())) > 10
    for row in range(0, len(rows), 7):
        ask, ground = problem.asks[int(rows.ask[row])], problem.grounds[int(rows.ground[row])]
        day, start = problem.days[int(rows.day[row])], int(rows.start[row])
        lost = lost_dates(problem, ground, day, start, start + ask.minutes)
        assert rows.score[row] == wish(problem, ask, ground, day, start, len(lost))
