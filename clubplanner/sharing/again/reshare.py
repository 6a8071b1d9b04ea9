"""The re-share: something has come up, and the plan that stands is to change as little as can be.

Three aims count one after the other: place all that can be placed (points as in a share-out),
disturb the fewest squads, move sessions least. Of plans that are as good, the one is taken that has
days and evenings as the club wants them. A squad that loses a place whatever is done is hit;
disturbed is one that could have stayed and does not.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.language import marked
from clubplanner.sharing.again.alteration import alter
from clubplanner.sharing.again.moves import Move, list_moves
from clubplanner.sharing.again.reshare_model import ReshareModel
from clubplanner.sharing.again.reshare_pieces import Pieces
from clubplanner.sharing.again.reshare_week import Week
from clubplanner.sharing.again.telling import again_in_words
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.measures import satisfactions_of
from clubplanner.sharing.model.solvers import new_solver
from clubplanner.sharing.places.displacement import displacement, match_sessions
from clubplanner.sharing.places.first_plan import fill_plan
from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.reasons.reasons import contradictions, explain
from clubplanner.sharing.reasons.telling import tell_reason
from clubplanner.sharing.rules.book import ground_clashes, people_clashes, too_many
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.budget import Budget
from clubplanner.sharing.values.levels import PLACING
from clubplanner.sharing.values.outcome import GOOD_GAP, Kind, Level, Outcome, Progress
from clubplanner.sharing.values.problem import Placement, Problem, digest
from clubplanner.sharing.values.validating import ProblemError, validate

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from clubplanner.sharing.again.alteration import Alteration
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.outcome import Reason
    from clubplanner.sharing.values.problem import Effort

NAMES = (PLACING, marked("disturbing few squads"), marked("moving sessions little"))
"""The aims in order."""
PARTS = (0.6, 0.5)
"""Part of the steps left for the first two aims together, and for the first where it is open."""
WAY_PART, WEEK_PART = 0.7, 0.5
"""Part of the steps left for the way where days and evenings come after it, and for each aim of
those."""
PIECES_PART = 0.45
"""Part of the steps left for bettering the plan piece by piece where the whole stays open."""


@dataclass(frozen=True, slots=True)
class Reshared:
    """The result of a re-share.

    Attributes:
        problem: The problem as it is now.
        outcome: The plan and its proof, aim by aim.
        hit: Squads that lose a place whatever is done.
        disturbed: Squads that could have stayed and do not, in the order of the asks.
        moves: What is different, in the order of the asks.
    """

    problem: Problem
    outcome: Outcome
    hit: tuple[str, ...]
    disturbed: tuple[str, ...]
    moves: tuple[Move, ...]

    @property
    def sentence(self) -> str:
        """Say how it ended in words for the secretary."""
        outcome = self.outcome
        if outcome.contradictions:
            return " ".join(map(tell_reason, outcome.contradictions))
        return again_in_words(
            placed=outcome.placed,
            asked=outcome.asked,
            hit=len(self.hit),
            disturbed=len(self.disturbed),
            is_fewest=self.is_fewest,
            cut_short=outcome.cut_short,
        )

    @property
    def is_fewest(self) -> bool:
        """Whether it is proved that no fewer squads could be disturbed."""
        proofs = {level.name: level.is_proved for level in self.outcome.levels}
        # no aims: there is no place at all
        return not proofs or all(proofs.get(name, False) for name in NAMES[:2])


def reshare(
    problem: Problem,
    standing: Sequence[Placement],
    alteration: Alteration,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None = None,
    brake: Brake | None = None,
    on_plan: Callable[[tuple[Placement, ...]], None] | None = None,
) -> Reshared:
    """Change a standing plan as little as can be for what has come up.

    Args:
        problem: The problem as it was.
        standing: The plan that stands.
        alteration: What has come up; without faults against the problem.
        effort: How hard to try.
        on_progress: Told when an aim is done; what it raises ends the search.
        brake: Ends the search early and keeps the best plan found so far.
        on_plan: Given the first plan, and the best one whenever an aim is done.

    Returns:
        The new plan with its proof, and its differences from the standing one.

    Raises:
        ProblemError: If the altered problem has structural faults.
    """
    altered = alter(problem, alteration)
    faults = validate(altered)
    if faults:
        raise ProblemError(faults)
    terrain = survey(altered)
    budget = Budget(effort, brake=brake or Brake())
    against = contradictions(terrain)
    if against:
        return Reshared(altered, _outcome(terrain, budget, (), (), against), (), (), ())

    def tell(progress: Progress) -> None:
        if on_progress is not None:
            on_progress(progress)
        if on_plan is not None:
            on_plan(work.placements(work.plan))

    work = _Work(terrain, standing, budget, tell)
    if on_plan is not None:
        on_plan(work.placements(work.plan))
    work.run()
    plan = work.placements(work.plan)
    outcome = _outcome(terrain, budget, plan, work.levels, (), work.model)
    order = list(dict.fromkeys(ask.squad for ask in altered.asks))
    disturbed = work.model.disturbed_by(work.plan)
    return Reshared(
        problem=altered,
        outcome=outcome,
        hit=tuple(squad for squad in order if squad in work.model.hit),
        disturbed=tuple(squad for squad in order if squad in disturbed),
        moves=list_moves(problem, altered, standing, plan),
    )


class _Work:
    """Works through the aims of a re-share, keeping the best plan."""

    def __init__(
        self,
        terrain: Terrain,
        standing: Sequence[Placement],
        budget: Budget,
        on_progress: Callable[[Progress], None] | None,
    ) -> None:
        self.terrain = terrain
        self.budget = budget
        self.model = ReshareModel(terrain, standing)
        self.on_progress = on_progress
        self.levels: list[Level] = []
        self.week = Week(self.model)
        self.names = (*NAMES, *self.week.names)
        self.plan = self._first_plan()
        self.pieces = Pieces(self.model, budget, self._rank)

    def run(self) -> None:
        """Work through all aims, the first two in one search."""
        if not len(self.model.rows):
            return
        share, model = self.model.share, self.model.share.model
        most = self.model.worth.most()[PLACING]
        weight = len(self.model.changed) + 1
        best = self._place_and_keep(weight, most)
        points, disturbed, *_unused = self.values(self.plan)
        # no plan has weight * points - disturbed above best, and fewer than weight are disturbed
        self._note(0, 1, min(most, (best + weight - 1) // weight))
        self._note(1, -1, max(0, weight * points - best))
        model.add(share.aims.points >= points)
        model.add(self.model.disturbed <= disturbed)
        bound = 0.0
        is_open = self.values(self.plan)[2] > 0 or not self.week.is_best(self.plan)
        way = self.model.way(is_full=points == most) if is_open else None
        if way is not None and self.values(self.plan)[2] > 0:
            model.minimize(way)
            bound = self._search(bound, WAY_PART if self.week.names else 1.0)
        self._note(2, -1, int(np.ceil(bound - 1e-6)))
        if way is not None:
            model.add(way <= self.values(self.plan)[2])
        for number, name in enumerate(self.week.names, len(NAMES)):
            bound = self.week.aim_for(name, self.plan)
            if self.values(self.plan)[number] > bound:
                bound = max(bound, self._search(bound, WEEK_PART))
            self._note(number, -1, int(np.ceil(bound - 1e-6)))
            self.week.keep(name, self.plan)

    def _place_and_keep(self, weight: int, most: int) -> int:
        """Work on the first two aims, a point above all squads; return the bound of both."""
        model, aims = self.model.share.model, self.model.share.aims
        best = weight * most
        points, disturbed, *_unused = self.values(self.plan)
        if weight * points - disturbed == best:
            return best
        both = cp_model.LinearExpr.sum([weight * aims.points, -1 * self.model.disturbed])
        model.maximize(both)
        best = min(best, int(np.floor(self._search(float(best), PARTS[0]) + 1e-6)))
        if self.values(self.plan)[0] < min(most, (best + weight - 1) // weight):
            model.maximize(aims.points)
            reached = int(np.floor(self._search(float(most), PARTS[1]) + 1e-6))
            best = min(best, weight * reached)
            model.maximize(both)
        points, disturbed, *_unused = self.values(self.plan)
        if weight * points - disturbed < best:
            self.plan = self.pieces.better(self.plan, PIECES_PART)
        return best

    def values(self, plan: Sequence[int]) -> tuple[int, ...]:
        """Compute points, squads disturbed and way of chosen rows, then days and evenings."""
        points = self.model.worth.values(plan)[PLACING]
        disturbed = len(self.model.disturbed_by(plan))
        old = self.model.standing
        way = displacement(self.terrain.problem, old, self.placements(plan))
        return points, disturbed, way, *self.week.values(plan)

    def placements(self, plan: Sequence[int]) -> tuple[Placement, ...]:
        """Turn rows into placements; a session keeps its number where it moves the shortest way."""
        problem, rows = self.terrain.problem, self.model.rows
        found: list[Placement] = []
        for number, ask in enumerate(problem.asks):
            own = [row for row in plan if rows.ask[row] == number]
            pinned = {row: int(rows.session[row]) for row in own if rows.session[row] >= 0}
            numbers = dict(pinned)
            free = [placement_of(self.terrain, rows, row, row) for row in own if row not in pinned]
            old = [
                item
                for item in self.model.standing
                if item.ask == ask.key and item.session not in pinned.values()
            ]
            for before, after in match_sessions(problem, old, free):
                if after is not None and before.session < ask.sessions:
                    numbers[after.session] = before.session
            for row in own:
                if row not in numbers:
                    numbers[row] = min(set(range(ask.sessions)) - set(numbers.values()))
            found += [placement_of(self.terrain, rows, row, numbers[row]) for row in own]
        order = {ground.key: n for n, ground in enumerate(problem.grounds)}
        return tuple(sorted(found, key=lambda item: (item.day, item.start_min, order[item.ground])))

    def _search(self, bound: float, part: float) -> float:
        """Search for a better plan and return the bound that was proved, or the one known."""
        if self.budget.left <= 0:
            return bound
        solver = self._solver(part)
        with self.budget.brake.holding(solver):
            status = solver.solve(self.model.share.model)
        self.budget.steps += max(0.001, float(solver.response_proto.deterministic_time))
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return bound
        chosen = self.model.share.chosen
        found = [n for n, var in enumerate(chosen) if solver.boolean_value(var)]
        self.plan = max(self.plan, found, key=self._rank)
        return float(solver.best_objective_bound)

    def _note(self, number: int, sign: int, bound: int) -> None:
        value = self.values(self.plan)[number]
        bound = max(value, bound) if sign > 0 else min(value, bound)
        gap = abs(bound - value) / max(1, abs(value))
        self.levels.append(Level(self.names[number], value, bound, value == bound, gap))
        if self.on_progress is not None:
            used = self.budget.steps / self.budget.all_steps
            part = float(min(1.0, used))
            name, count = self.names[number], len(self.names)
            progress = Progress(number + 1, count, value, bound, part, name)
            self.on_progress(progress)

    def _rank(self, plan: Sequence[int]) -> tuple[int, ...]:
        points, *others = self.values(plan)
        return (points, *(-value for value in others))

    def _solver(self, part: float) -> cp_model.CpSolver:
        model = self.model.share.model
        model.clear_hints()  # type: ignore[no-untyped-call]
        chosen = set(self.plan)
        for row, variable in enumerate(self.model.share.chosen):
            model.add_hint(variable, row in chosen)
        effort = self.budget.effort
        solver = new_solver()
        solver.parameters.num_workers = effort.workers
        solver.parameters.random_seed = effort.seed
        solver.parameters.linearization_level = 2
        solver.parameters.cp_model_probing_level = 0  # it costs more than it finds here
        solver.parameters.max_deterministic_time = max(0.01, part * self.budget.left)
        solver.parameters.max_time_in_seconds = max(0.05, self.budget.clock_left)
        if effort.workers > 1:
            solver.parameters.extra_subsolvers.append("max_lp")
        return solver

    def _first_plan(self) -> list[int]:
        """Keep the standing places that can stay together, and fill up."""
        rows, problem = self.model.rows, self.terrain.problem
        kept = np.flatnonzero(rows.session >= 0).tolist()
        counts = np.bincount(rows.ask[kept], minlength=len(problem.asks))
        for row in self.model.kept:
            if row is None or row in kept or counts[rows.ask[row]] >= self._asked(row):
                continue
            one, others = rows.take(np.array([row])), rows.take(np.array(kept, dtype=np.int64))
            clash = ground_clashes(self.terrain, one, others)
            clash |= people_clashes(self.terrain, one, others)
            if not clash.any() and not too_many(self.terrain, one, others).any():
                kept.append(row)
                counts[rows.ask[row]] += 1
        return sorted(fill_plan(self.terrain, rows, kept).tolist())

    def _asked(self, row: int) -> int:
        return self.terrain.problem.asks[int(self.model.rows.ask[row])].sessions


def _outcome(
    terrain: Terrain,
    budget: Budget,
    placements: tuple[Placement, ...],
    levels: Sequence[Level],
    against: tuple[Reason, ...],
    model: ReshareModel | None = None,
) -> Outcome:
    problem = terrain.problem
    scores = [0] * len(problem.asks)
    alone = [0] * len(problem.asks)
    if model is not None:
        alone = model.best.tolist()
        places = {(item.ask, item.day, item.ground, item.start_min) for item in placements}
        for row, ask in enumerate(model.rows.ask.tolist()):
            item = placement_of(terrain, model.rows, row, 0)
            if (item.ask, item.day, item.ground, item.start_min) in places:
                scores[ask] += int(model.rows.score[row])
    is_proved = bool(levels) and levels[0].is_proved
    is_repeatable = budget.effort.workers == 1 and budget.clock_left > 0
    return Outcome(
        kind=_kind(problem, levels, against),
        placements=placements,
        levels=tuple(levels),
        refusals=()
        if against
        else explain(terrain, placements, is_proved=is_proved, has_time=budget.explaining()),
        satisfactions=satisfactions_of(problem, scores, alone),
        contradictions=against,
        asked=sum(ask.sessions for ask in problem.asks),
        seconds=budget.seconds,
        is_repeatable=is_repeatable,
        problem_digest=digest(problem),
    )


def _kind(problem: Problem, levels: Sequence[Level], against: Sequence[Reason]) -> Kind:
    if against or (not levels and problem.asks):
        return Kind.IMPOSSIBLE
    if all(level.is_proved for level in levels):
        return Kind.PROVED_BEST
    return Kind.GOOD if levels[0].gap <= GOOD_GAP else Kind.OUT_OF_TIME
