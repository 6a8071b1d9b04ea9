"""What else a squad could have for one of its sessions, and what that would cost the others.

Every answer is a plan that the independent checker has passed, wherever the change can bear on it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import chain, islice
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _
from clubplanner.sharing.checks.checking import check
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.placements import placement_of, rows_of_placements
from clubplanner.sharing.reasons.held import blocked_by, hold
from clubplanner.sharing.reasons.make_way import Step, make_way
from clubplanner.sharing.reasons.round_a_change import Round
from clubplanner.sharing.rules.book import too_many
from clubplanner.sharing.values.words import listed, place_and_time

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.reasons.held import Held
    from clubplanner.sharing.values.problem import Placement, Problem

MOST_MOVERS = 2
"""So many sessions of others may have to make way."""
MOST_TRIES = 60
"""Places that others hold are looked at in order of liking, at most so many."""


@dataclass(frozen=True, slots=True)
class Option:
    """Another place for a session.

    Attributes:
        placement: The place.
        steps: Who would make way; empty where it is free.
        points: Wish points the session gains, negative for a loss.
        text: For the secretary.
    """

    placement: Placement
    steps: tuple[Step, ...]
    points: int
    text: str

    @property
    def cost(self) -> int:
        """Wish points that the others lose in all."""
        return _lost(self.steps)


def what_else(
    problem: Problem,
    placements: Sequence[Placement],
    ask: str,
    session: int,
    most: int = 30,
    days: Collection[int] | None = None,
) -> tuple[Option, ...]:
    """List other places that a session could have.

    Args:
        problem: The problem; a pin of that very session does not bind it.
        placements: The plan. The session may have a place in it or none; what breaks a rule in it
            already keeps nothing from being offered.
        ask: Key of the ask.
        session: Which of its sessions, from 0.
        most: How many options to return at most.
        days: Indices of the days that are looked at; None for all.

    Returns:
        Free places first, the best liked first; then those for which others would have to move,
        the cheapest first.

    Raises:
        ValueError: If there is no such ask or session.
    """
    number = next((n for n, item in enumerate(problem.asks) if item.key == ask), None)
    if number is None or not 0 <= session < problem.asks[number].sessions:
        raise ValueError(
            _("There is no session %(session)s of an ask %(ask)s.", session=session, ask=ask)
        )
    freed = _without_pin(problem, number, session)
    terrain = survey(freed)
    now = [item for item in placements if (item.ask, item.session) == (ask, session)]
    others = [item for item in placements if item not in now]
    at_now = rows_of_placements(terrain, now)
    score_now = int(at_now.score.sum())
    held = hold(terrain, others)
    rows = held.places_of(freed.asks[number], number, keep_all=True)
    blocked = blocked_by(held, rows)
    in_way = blocked.sum(axis=1)
    spared = ~too_many(terrain, rows, held.rows) & ~_is_among(rows, at_now)
    if days is not None:
        spared &= np.isin(rows.day, sorted(days))
    free = np.flatnonzero(spared & (in_way == 0))
    found: Iterator[tuple[int, tuple[Step, ...]]] = chain(
        ((row, ()) for row in free[np.argsort(-rows.score[free], kind="stable")].tolist()),
        _where_others_move(held, rows, number, blocked, spared),
    )
    around = Round(freed, others)
    sound = (
        _option(terrain, place, steps, int(rows.score[row]) - score_now)
        for row, steps in found
        if _adds_no_fault(around, place := placement_of(terrain, rows, row, session), steps)
    )
    return tuple(islice(sound, most))


def _where_others_move(
    held: Held,
    rows: Candidates,
    number: int,
    blocked: NDArray[np.bool_],
    spared: NDArray[np.bool_],
) -> Iterator[tuple[int, tuple[Step, ...]]]:
    """Yield places that others hold and could leave, the cheapest first.

    None of it is worked out before somebody asks for the first of them.
    """
    in_way = blocked.sum(axis=1)
    own = (blocked[:, held.rows.ask == number]).any(axis=1)
    taken = np.flatnonzero(spared & (in_way > 0) & (in_way <= MOST_MOVERS) & ~own)
    found = []
    for row in taken[np.lexsort((in_way[taken], -rows.score[taken]))][:MOST_TRIES].tolist():
        newcomer = rows.take(np.array([row], dtype=np.int64))
        steps = make_way(held, newcomer, np.flatnonzero(blocked[row]).tolist())
        if steps is not None:
            found.append((row, steps))
    yield from sorted(found, key=lambda one: (len(one[1]), _lost(one[1]) - int(rows.score[one[0]])))


def _is_among(rows: Candidates, others: Candidates) -> NDArray[np.bool_]:
    """Tell which rows are the place and time of one of some others."""
    same = rows.ground[:, None] == others.ground[None, :]
    same &= rows.day[:, None] == others.day[None, :]
    same &= rows.start[:, None] == others.start[None, :]
    return np.asarray(same.any(axis=1))


def _lost(steps: Sequence[Step]) -> int:
    return -sum(step.points for step in steps)


def _without_pin(problem: Problem, number: int, session: int) -> Problem:
    asks = list(problem.asks)
    kept = tuple(pin for pin in asks[number].pinned if pin.session != session)
    asks[number] = replace(asks[number], pinned=kept)
    return replace(problem, asks=tuple(asks))


def _option(terrain: Terrain, place: Placement, steps: tuple[Step, ...], points: int) -> Option:
    problem = terrain.problem
    where = place_and_time(problem, place)
    if not steps:
        return Option(place, steps, points, _("%(where)s: free.", where=where))
    moves = [
        _(
            "%(squad_name)s moves to %(place_and_time)s",
            squad_name=step.squad_name,
            place_and_time=place_and_time(problem, step.new),
        )
        for step in steps
    ]
    return Option(
        place, steps, points, _("%(where)s, if %(moves)s.", where=where, moves=listed(moves))
    )


def _faults(problem: Problem, plan: Sequence[Placement]) -> set[tuple[str, frozenset[Placement]]]:
    return {(fault.code, frozenset(fault.placements)) for fault in check(problem, plan)}


def _adds_no_fault(around: Round, place: Placement, steps: Sequence[Step]) -> bool:
    """Tell whether nothing is wrong with a change that is not wrong with the plan already."""
    moved = [step.old for step in steps]
    come = [place, *(step.new for step in steps)]
    problem, others = around.part([*moved, *come])
    plan = [item for item in others if item not in moved] + come
    return _faults(problem, plan).issubset(_faults(problem, others))
