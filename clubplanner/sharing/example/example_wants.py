"""What an invented club may want beyond places and hours; invented, of the kind that is common."""

from __future__ import annotations

import random
import re
from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.values.wants import LoadLimit, Pair, PairKind, Price, Window, Wish

if TYPE_CHECKING:
    from clubplanner.sharing.values.problem import Ask, Problem

FINISH_BY_AGE = ((9, 19 * 60 + 30), (12, 20 * 60 + 15), (14, 20 * 60 + 45))
YOUNG, YOUNG_WEAR = 12, 60
SCHOOL_AGE, SCHOOL_MIN = 18, 15
"""Pupils have an evening off in between; young ones may start a while after their first hour."""
SATURDAY = 5
MOST_MINUTES = (600, 720, 900)
"""Minutes of a whole grass pitch in a week."""
_AGE = re.compile(r"^U(\d+) ")


def with_wants(problem: Problem, seed: int) -> Problem:
    """Give an invented problem every sort of want: rest, times, limits, wishes, prices, a past.

    Args:
        problem: As `example` gives it.
        seed: Equal numbers give equal problems.
    """
    chance = random.Random(seed)  # noqa: S311 - inventions, nothing secret
    grass = sorted({g.pitch for g in problem.grounds if g.surface == "grass"})
    venues = sorted({ground.venue for ground in problem.grounds})
    squads = [ask.squad for ask in problem.asks]
    few = max(1, len(squads) // 8) if len(squads) > 1 else 0
    couples = [chance.sample(squads, 2) for _ in range(few)]
    return replace(
        problem,
        asks=tuple(_with_wants(chance, problem, ask) for ask in problem.asks),
        loads=tuple(LoadLimit(pitch, chance.choice(MOST_MINUTES)) for pitch in grass),
        pairs=tuple(
            Pair(chance.choice(list(PairKind)), one, other, chance.randint(1, 3))
            for one, other in couples
        ),
        prices=tuple(
            Price(venue, None, chance.choice((0, 1500, 2500)), chance.choice((0, 800)))
            for venue in venues
        ),
        wants_compact=True,
    )


def _with_wants(chance: random.Random, problem: Problem, ask: Ask) -> Ask:
    first = min(window.start_min for window in ask.possible)
    last = max(window.end_min for window in ask.possible) - ask.minutes
    match = _AGE.match(ask.squad_name)
    age = int(match[1]) if match else None
    finish = next((end for up_to, end in FINISH_BY_AGE if age is not None and age <= up_to), None)
    is_young = age is not None and age <= YOUNG
    start = min(first + SCHOOL_MIN, last) if is_young else None
    return replace(
        ask,
        latest_finish_min=None if finish is None else max(finish, (start or first) + ask.minutes),
        rest_days=1 if chance.random() < 0.4 else 0,
        no_day_before=frozenset({SATURDAY}) if chance.random() < 0.3 else frozenset(),
        wear_percent=YOUNG_WEAR if is_young else 100,
        wishes=tuple(_wish(chance, problem, ask) for _ in range(chance.randint(0, 2))),
        past=chance.choice((-10, -5, 0, 0, 5, 10)),
        earliest_start_min=start,
        most_in_a_row=max(1, ask.sessions - 1) if age is not None and age <= SCHOOL_AGE else None,
    )


def _wish(chance: random.Random, problem: Problem, ask: Ask) -> Wish:
    grade = chance.randint(1, 3)
    ground = chance.choice(problem.grounds)
    window = chance.choice(ask.possible)
    return chance.choice(
        (
            Wish(grade, days=frozenset({window.day})),
            Wish(grade, venues=frozenset({ground.venue})),
            Wish(grade, grounds=frozenset({ground.key})),
            Wish(grade, windows=(Window(window.day, window.start_min, window.end_min),)),
        )
    )
