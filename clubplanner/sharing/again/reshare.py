"""The re-share: something has come up, and the plan that stands is to change as little as can be.

Three aims count one after the other: place all that can be placed (points as in a share-out),
disturb the fewest squads, move sessions least. Of plans that are as good, the one is taken that has
days and evenings as the club wants them. A squad that loses a place whatever is done is hit;
disturbed is one that could have stayed and does not.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.sharing.again.alteration import alter
from clubplanner.sharing.again.carried import most_carried
from clubplanner.sharing.again.moves import Move, list_moves
from clubplanner.sharing.again.reshare_work import NAMES, Work
from clubplanner.sharing.again.telling import again_in_words
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.measures import satisfactions_of
from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.reasons.reasons import contradictions, explain
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.budget import Budget
from clubplanner.sharing.values.outcome import GOOD_GAP, SHAPE, Kind, Level, Outcome, Progress
from clubplanner.sharing.values.problem import Placement, Problem, digest
from clubplanner.sharing.values.validating import ProblemError, validate

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from clubplanner.sharing.again.alteration import Alteration
    from clubplanner.sharing.again.reshare_places import Places
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.outcome import Reason
    from clubplanner.sharing.values.problem import Effort


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
    known_most: int | None = None,
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
        known_most: No plan of the problem as it was has more points in placing sessions; None
            where nothing is known.

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

    most = None if known_most is None else most_carried(problem, altered, known_most)
    work = Work(terrain, standing, budget, tell, most)
    if on_plan is not None:
        on_plan(work.placements(work.plan))
    work.run()
    plan = work.placements(work.plan)
    outcome = _outcome(terrain, budget, plan, work.levels, (), work.places)
    order = list(dict.fromkeys(ask.squad for ask in altered.asks))
    disturbed = work.places.disturbed_by(work.plan)
    return Reshared(
        problem=altered,
        outcome=outcome,
        hit=tuple(squad for squad in order if squad in work.places.hit),
        disturbed=tuple(squad for squad in order if squad in disturbed),
        moves=list_moves(problem, altered, standing, plan),
    )


def _outcome(
    terrain: Terrain,
    budget: Budget,
    placements: tuple[Placement, ...],
    levels: Sequence[Level],
    against: tuple[Reason, ...],
    places: Places | None = None,
) -> Outcome:
    problem = terrain.problem
    scores = [0] * len(problem.asks)
    alone = [0] * len(problem.asks)
    if places is not None:
        alone = places.best.tolist()
        there = {(item.ask, item.day, item.ground, item.start_min) for item in placements}
        for row, ask in enumerate(places.rows.ask.tolist()):
            item = placement_of(terrain, places.rows, row, 0)
            if (item.ask, item.day, item.ground, item.start_min) in there:
                scores[ask] += int(places.rows.score[row])
    is_proved = bool(levels) and levels[0].is_proved
    is_repeatable = budget.effort.workers == 1 and not budget.is_cut
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
        shape=SHAPE,
    )


def _kind(problem: Problem, levels: Sequence[Level], against: Sequence[Reason]) -> Kind:
    if against or (not levels and problem.asks):
        return Kind.IMPOSSIBLE
    if all(level.is_proved for level in levels):
        return Kind.PROVED_BEST
    return Kind.GOOD if levels[0].gap <= GOOD_GAP else Kind.OUT_OF_TIME
