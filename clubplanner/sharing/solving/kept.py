"""An outcome from a plan alone: of parts put together, of a process that died, or by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.again.alteration import alter
from clubplanner.sharing.again.moves import list_moves
from clubplanner.sharing.again.reshare import Reshared
from clubplanner.sharing.checks.checking import check
from clubplanner.sharing.ground.terrain import ground_numbers, survey
from clubplanner.sharing.parts.looking import look
from clubplanner.sharing.parts.whole import Whole
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.listing import ask_candidates, list_candidates
from clubplanner.sharing.places.placements import with_lost_dates
from clubplanner.sharing.solving.solve import kind_of, outcome_of
from clubplanner.sharing.values.budget import Budget
from clubplanner.sharing.values.outcome import Kind
from clubplanner.sharing.values.problem import Effort

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.again.alteration import Alteration
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.outcome import CutShort, Level, Outcome
    from clubplanner.sharing.values.problem import Placement, Problem


EXPLAINING_S = 5.0
"""Whoever puts a session by hand waits about so long for reasons of those who go without."""


def outcome_of_plan(
    problem: Problem, effort: Effort, plan: Sequence[Placement], cut_short: CutShort
) -> Outcome:
    """Say what a plan comes to of which nothing else is known.

    Args:
        problem: The problem.
        effort: What was allowed; nothing of it is left.
        plan: The plan; what of it is not sound is left out.
        cut_short: Why there is no more.
    """
    terrain = survey(problem)
    whole = Whole(terrain, look(terrain), sound_part(problem, plan))
    most = whole.most()
    levels = [whole.level(name, most[name]) for name in whole.names]
    budget = Budget(effort, is_cut=True)
    budget.brake.pull()
    return outcome_of_whole(whole, budget, levels, cut_short)


def outcome_by_hand(problem: Problem, plan: Sequence[Placement]) -> Outcome:
    """Say what a plan comes to that a person has made: who is served how well, who goes without.

    Nothing was searched for, so it has no aims, and took no time.

    Args:
        problem: The problem, with what was put by hand pinned.
        plan: The plan, sound or not, of asks and ground of the problem, in any order.
    """
    terrain = survey(problem)
    grounds = ground_numbers(terrain)
    placements = sorted(
        with_lost_dates(terrain, tuple(plan)),
        key=lambda item: (item.day, item.start_min, grounds[item.ground]),
    )
    best = best_alone(terrain, list_candidates(terrain))
    outcome = outcome_of(
        terrain, Budget(Effort(seconds=EXPLAINING_S)), Kind.BY_HAND, tuple(placements), best=best
    )
    return replace(outcome, seconds=0.0, is_repeatable=False)


def reshared_of_plan(
    problem: Problem,
    standing: Sequence[Placement],
    alteration: Alteration,
    plan: Sequence[Placement],
    effort: Effort,
    cut_short: CutShort,
) -> Reshared:
    """Say what a plan comes to that sharing out again had when its process died.

    Hit are squads that have a session which cannot stand any more by itself or beside the others
    that stood; of those who move besides, nothing is proved.

    Args:
        problem: The problem as it was.
        standing: The plan that stood.
        alteration: What has come up.
        plan: The plan; what of it is not sound is left out.
        effort: What was allowed; nothing of it is left.
        cut_short: Why there is no more.
    """
    altered = alter(problem, alteration)
    outcome = outcome_of_plan(altered, effort, plan, cut_short)
    squads = {ask.key: ask.squad for ask in altered.asks}
    known = [item for item in standing if item.ask in squads]
    hit = {squads[item.ask] for fault in check(altered, known) for item in fault.placements}
    moves = list_moves(problem, altered, standing, outcome.placements)
    moved = {squads[move.ask] for move in moves if move.old is not None and move.ask in squads}
    order = list(dict.fromkeys(squads.values()))
    return Reshared(
        problem=altered,
        outcome=outcome,
        hit=tuple(squad for squad in order if squad in hit),
        disturbed=tuple(squad for squad in order if squad in moved - hit),
        moves=moves,
    )


def could_not_stand(terrain: Terrain, standing: Sequence[Placement]) -> tuple[Placement, ...]:
    """Return the placements that cannot stay whoever else is where.

    Args:
        terrain: The problem's columns.
        standing: A plan of asks that it has.
    """
    problem = terrain.problem
    numbers = {ask.key: n for n, ask in enumerate(problem.asks)}
    suspects = {item for fault in check(problem, standing) for item in fault.placements}
    grounds = ground_numbers(terrain)
    found = []
    for item in standing:
        if item not in suspects:
            continue
        ask = problem.asks[numbers[item.ask]]
        rows = ask_candidates(terrain, ask, numbers[item.ask], keep_all=True)
        places = zip(rows.ground.tolist(), rows.day.tolist(), rows.start.tolist(), strict=True)
        own = {(grounds[pin.ground], pin.day, pin.start_min) for pin in ask.pinned}
        where = grounds.get(item.ground, -1), item.day, item.start_min
        is_as_long = item.end_min - item.start_min == ask.minutes
        if not is_as_long or (where not in own and where not in set(places)):
            found.append(item)
    return tuple(found)


def outcome_of_whole(
    whole: Whole, budget: Budget, levels: Sequence[Level], cut_short: CutShort
) -> Outcome:
    """Say what the plan of a whole comes to, checked once more by itself."""
    problem = whole.terrain.problem
    plan = whole.sessions()
    sound = sound_part(problem, plan)
    if len(sound) < len(plan):  # no part should ever give such a plan
        whole = Whole(whole.terrain, whole.look, sound)
        most = whole.most()
        levels = [whole.level(name, most[name]) for name in whole.names]
    return outcome_of(
        whole.terrain,
        budget,
        kind_of(levels, len(whole.names)),
        whole.sessions(),
        levels,
        whole.look.best,
        cut_short=cut_short,
    )


def sound_part(problem: Problem, plan: Sequence[Placement]) -> tuple[Placement, ...]:
    """Return the sessions of a plan that stand by all rules together; pinned ones first."""
    pinned = {(pin.ask, pin.session) for ask in problem.asks for pin in ask.pinned}
    kept = tuple(plan)
    while kept:
        bad = {
            (item.ask, item.session) for fault in check(problem, kept) for item in fault.placements
        } - pinned
        if not bad:
            return kept
        kept = tuple(item for item in kept if (item.ask, item.session) not in bad)
    return kept
