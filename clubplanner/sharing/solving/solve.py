"""The share-out from end to end: a problem in, an outcome out."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.aim_book import aim_named
from clubplanner.sharing.model.measures import satisfactions_of
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.places.placements import rows_of_placements
from clubplanner.sharing.places.plans_to_go_on_from import rows_to_go_on_from
from clubplanner.sharing.reasons.reasons import contradictions, explain
from clubplanner.sharing.search.pricing import certify
from clubplanner.sharing.search.search import Search
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.budget import MOST_AFTER_BRAKE_S, Budget
from clubplanner.sharing.values.levels import PLACING
from clubplanner.sharing.values.outcome import GOOD_GAP, SHAPE, CutShort, Kind, Outcome
from clubplanner.sharing.values.problem import digest
from clubplanner.sharing.values.validating import ProblemError, validate

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.certificate import Certificate
    from clubplanner.sharing.values.outcome import Level, Placement, Progress, Reason
    from clubplanner.sharing.values.problem import Effort, Problem

CERTIFYING_PART, LEAST_CERTIFYING = 0.3, 0.05
"""Part of the time that the search left which finding prices may take, explaining has the rest; and
part of the whole that it may take in any case."""

PLAN_EVERY_S = 2.0
"""The best plan so far is given away at most this often."""


def solve(
    problem: Problem,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None = None,
    brake: Brake | None = None,
    start: Sequence[Placement] = (),
    on_plan: Callable[[tuple[Placement, ...]], None] | None = None,
) -> Outcome:
    """Share the ground out among the asks.

    The aims count one after the other: place sessions (each by its ask's priority, a squad's first
    one above its others); serve the worst-off squad; be fair to those that are badly off; grant
    wishes; where that is wanted, keep each squad's sessions apart and evenings as the club wants
    them, cost low and evenings compact. Each keeps what those before it reached.

    Args:
        problem: What to share out.
        effort: How hard to try.
        on_progress: Told of each better plan and bound; what it raises ends the search.
        brake: Ends the search early and keeps the best plan found so far.
        start: A plan to go on from; what of it is not possible any more is left out.
        on_plan: Given the best plan so far, now and then.

    Returns:
        The plan with its proof, and reasons for each session without a place.

    Raises:
        ProblemError: If the problem has structural faults.
    """
    faults = validate(problem)
    if faults:
        raise ProblemError(faults)
    budget = Budget(effort, brake=brake or Brake())
    terrain = survey(problem)
    against = contradictions(terrain)
    if against:
        return outcome_of(terrain, budget, Kind.IMPOSSIBLE, contradictions=against)
    candidates = list_candidates(terrain)
    if not len(candidates):
        kind = Kind.IMPOSSIBLE if problem.asks else Kind.PROVED_BEST
        return outcome_of(terrain, budget, kind)
    slots = merge(terrain, candidates)
    best = best_alone(terrain, candidates)
    search = Search(terrain, candidates, slots, best, budget, None)
    search.on_progress = _telling(search, on_progress, on_plan)
    search.run(rows_to_go_on_from(terrain, candidates, start))
    least = effort.seconds * LEAST_CERTIFYING
    left = max(least, budget.seconds_left * CERTIFYING_PART)
    if budget.brake.is_pulled:
        left = min(left, MOST_AFTER_BRAKE_S)
    certificate = certify(terrain, candidates, left)
    levels = [_certified(level, certificate) for level in search.levels]
    kind = kind_of(levels, len(search.names))
    found = outcome_of(terrain, budget, kind, search.placements(), levels, best, certificate)
    is_repeatable = found.is_repeatable and not start
    return replace(found, is_repeatable=is_repeatable, traded=search.traded())


def _telling(
    search: Search,
    on_progress: Callable[[Progress], None] | None,
    on_plan: Callable[[tuple[Placement, ...]], None] | None,
) -> Callable[[Progress], None] | None:
    """Return what passes progress on, with the plan where it is another one for some time."""
    if on_plan is None:
        return on_progress
    told: frozenset[int] = frozenset()
    until = 0.0

    def tell(progress: Progress) -> None:
        nonlocal told, until
        if on_progress is not None:
            on_progress(progress)
        if search.rows is not told and time.perf_counter() >= until:
            told, until = search.rows, time.perf_counter() + PLAN_EVERY_S
            on_plan(search.placements())

    return tell


def _certified(level: Level, certificate: Certificate | None) -> Level:
    """Lower the bound on placing sessions to what prices prove, where that is less."""
    if certificate is None or level.name != PLACING or certificate.most >= level.bound:
        return level
    gap = aim_named(PLACING).gap(level.value, certificate.most, lambda: 0)
    is_proved = certificate.most == level.value
    return replace(level, bound=certificate.most, is_proved=is_proved, gap=gap)


def kind_of(levels: Sequence[Level], aims: int) -> Kind:
    """Say how a search ended, by the aims that were worked on and how many there are."""
    if not levels or (not levels[0].is_proved and levels[0].gap > GOOD_GAP):
        return Kind.OUT_OF_TIME
    if len(levels) == aims and all(level.is_proved for level in levels):
        return Kind.PROVED_BEST
    return Kind.GOOD


def outcome_of(
    terrain: Terrain,
    budget: Budget,
    kind: Kind,
    placements: tuple[Placement, ...] = (),
    levels: Sequence[Level] = (),
    best: NDArray[np.int64] | None = None,
    certificate: Certificate | None = None,
    contradictions: tuple[Reason, ...] = (),
    cut_short: CutShort = CutShort.NO,
) -> Outcome:
    """Say what a search has come to: who is served how well, and why others go without."""
    problem = terrain.problem
    scores = np.zeros(len(problem.asks), dtype=np.int64)
    rows = rows_of_placements(terrain, placements)
    np.add.at(scores, rows.ask, rows.score)
    alone = np.zeros(len(problem.asks), dtype=np.int64) if best is None else best
    is_proved = bool(levels) and levels[0].is_proved
    refusals = (
        ()
        if contradictions
        else explain(terrain, placements, is_proved=is_proved, has_time=budget.explaining())
    )
    return Outcome(
        kind=kind,
        placements=placements,
        levels=tuple(levels),
        refusals=refusals,
        satisfactions=satisfactions_of(problem, scores.tolist(), alone.tolist()),
        contradictions=contradictions,
        asked=sum(ask.sessions for ask in problem.asks),
        seconds=budget.seconds,
        is_repeatable=budget.effort.workers == 1 and not budget.is_cut,
        problem_digest=digest(problem),
        certificate=certificate,
        cut_short=cut_short,
        shape=SHAPE,
    )
