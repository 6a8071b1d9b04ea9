"""Places listed, merged and looked up, against plain walks over them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from clubplanner.sharing import Placement, check
from clubplanner.sharing.checks.places_alone import lost_dates
from clubplanner.sharing.example.example import example
from clubplanner.sharing.example.example_wants import with_wants
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.in_the_way import Index
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.places.placements import (
    placement_of,
    rows_of_placements,
    with_lost_dates,
)
from clubplanner.sharing.rules.book import ground_clashes, people_clashes
from tests.sharing.builders import make_ask, make_club, make_pitch, make_problem

CLUB = with_wants(example(9, 2, 6, 1.2), 6)


def test_all_places_of_an_ask_are_those_that_the_checker_passes() -> None:
    """Nothing that is sound by itself is missing, nothing else is there."""
    rows = list_candidates(survey(CLUB), keep_all=True)
    for number, ask in enumerate(CLUB.asks[:3]):
        alone = replace(CLUB, asks=(ask,))
        sound = set()
        for window in ask.possible:
            for ground in CLUB.grounds:
                starts = range(window.start_min, window.end_min - ask.minutes + 1)
                for start in (s for s in starts if s % CLUB.step_minutes == 0):
                    end, day = start + ask.minutes, CLUB.days[window.day]
                    lost = lost_dates(CLUB, ground, day, start, end)
                    place = Placement(ask.key, 0, ground.key, day.index, start, end, lost)
                    if not check(alone, [place]):
                        sound.add((ground.key, day.index, start))
        own = np.flatnonzero(rows.ask == number)
        found = {
            (CLUB.grounds[int(rows.ground[n])].key, int(rows.day[n]), int(rows.start[n]))
            for n in own
        }
        assert found == sound


def test_what_is_left_out_has_a_smaller_ground_within_that_serves_better() -> None:
    """A quarter does as well as the whole for who needs no more; both stay where it is worse."""
    grounds = make_pitch(cuts=("whole", "quarters"))
    small = make_problem(grounds, make_ask(least_m2=1000.0))
    kept = list_candidates(survey(small))
    assert {small.grounds[int(n)].cut for n in kept.ground} == {"quarters"}
    everything = list_candidates(survey(small), keep_all=True)
    assert {small.grounds[int(n)].cut for n in everything.ground} == {"whole", "quarters"}


def test_equal_parts_are_merged_and_all_rows_are_in_a_slot() -> None:
    """A slot stands for rows of one ask, time, pitch and worth; each row is in one."""
    terrain = survey(make_club(6, pitches=3))
    rows = list_candidates(terrain)
    slots = merge(terrain, rows)
    assert sorted(row for own in slots.rows for row in own) == list(range(len(rows)))
    assert len(slots) < len(rows)
    for n, own in enumerate(slots.rows):
        for row in own:
            assert (rows.ask[row], rows.day[row], rows.start[row], rows.score[row]) == (
                slots.ask[n], slots.day[n], slots.start[n], slots.score[n],
            )  # fmt: skip
            assert terrain.pitch[rows.ground[row]] == slots.pitch[n]


def test_what_is_in_the_way_is_found_as_by_looking_at_all() -> None:
    """The index leaves no clash out."""
    terrain = survey(CLUB)
    rows = list_candidates(terrain)
    index = Index(terrain, rows)
    for row in range(0, len(rows), 23):
        one = rows.take(np.array([row], dtype=np.int64))
        clash = ground_clashes(terrain, rows, one) | people_clashes(terrain, rows, one)
        assert index.in_the_way(row).tolist() == np.flatnonzero(clash[:, 0]).tolist()


def test_placements_become_rows_and_placements_again() -> None:
    """Nothing is lost on the way, the dates that are lost included."""
    terrain = survey(CLUB)
    rows = list_candidates(terrain)
    places = [placement_of(terrain, rows, row, 0) for row in range(0, len(rows), 31)]
    again = rows_of_placements(terrain, places)
    assert again.score.tolist() == rows.score[::31].tolist()
    assert [placement_of(terrain, again, n, 0) for n in range(len(places))] == places
    assert with_lost_dates(terrain, places) == tuple(places)
