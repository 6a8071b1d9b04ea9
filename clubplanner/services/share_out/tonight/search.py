"""Searching for a plan of one evening: anew, or disturbing those who stand as little as can be."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.errors import RefusedError
from clubplanner.services.problem.standing_plans import placements_of_sessions
from clubplanner.services.proposals.said import said_of_outcome, said_of_reshare
from clubplanner.services.share_out.again.again import alteration_of
from clubplanner.services.share_out.broken_off import told_when_broken_off
from clubplanner.sharing.again.alteration import alter
from clubplanner.sharing.reasons.telling.telling import tell_outcome
from clubplanner.sharing.solving.process import (
    reshare_here,
    reshare_in_child,
    solve_here,
    solve_in_child,
)
from clubplanner.sharing.solving.settling import settled

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from clubplanner.services.problem.standing_plans import Disruption, Standing
    from clubplanner.services.problem.tonight import Felt
    from clubplanner.services.proposals.proposals import ProposedSession
    from clubplanner.services.proposals.said import Said
    from clubplanner.sharing.again.reshare import Reshared
    from clubplanner.sharing.values.brake import Brake
    from clubplanner.sharing.values.outcome import Outcome, Progress
    from clubplanner.sharing.values.problem import Effort, Placement, Problem


@dataclass(frozen=True, slots=True)
class Plan:
    """What a search came to.

    Attributes:
        problem: As it was solved, ground closed and pins set.
        outcome: The plan and its proofs.
        sentence: The same for a person, contradictions of pins included.
        said: How it ended, as it is kept.
        hit: Keys of squads that lose a place whatever is done.
        disturbed: Keys of squads that could have stayed and do not.
    """

    problem: Problem
    outcome: Outcome
    sentence: str
    said: Said
    hit: tuple[str, ...] = ()
    disturbed: tuple[str, ...] = ()


class Search:
    """Searches for a plan of an evening, for one problem after the other."""

    def __init__(
        self,
        standing: Standing,
        disruption: Disruption,
        pins: Sequence[ProposedSession],
        effort: Effort,
        on_progress: Callable[[Progress], None] | None,
        brake: Brake,
        *,
        is_apart: bool = False,
    ) -> None:
        self.placements = standing.placements
        self.alteration = replace(
            alteration_of(standing.problem, disruption),
            pins=placements_of_sessions(pins, standing.problem),
        )
        self.effort, self.on_progress, self.brake = effort, on_progress, brake
        self.is_apart = is_apart

    def squeeze(self, felt: Felt) -> Plan:
        """Search for the best plan; where somebody goes without, rather with less ground than none.

        First those who would go without may have less than their numbers need, then everybody may
        have half of it.

        Raises:
            RefusedError: If pins contradict each other.
            ShareOutError: If the search broke off.
        """
        best = self._plan(felt.problem)
        for part in (1.0, 0.5):
            without = {refusal.ask for refusal in best.outcome.refusals}
            if not without & felt.asked_m2.keys() and (part == 1.0 or not without):
                continue
            eased = felt.eased(0.0, without).eased(part, felt.asked_m2.keys() - without)
            plan = self._plan(eased.problem)
            if plan.outcome.placed > best.outcome.placed:
                best, felt = plan, eased if part == 1.0 else felt
        return best

    def _plan(self, problem: Problem) -> Plan:
        """Search for the best plan of one problem.

        Raises:
            RefusedError: If pins contradict each other.
            ShareOutError: If the search broke off.
        """
        with told_when_broken_off():
            plan = self._again(problem) if self.placements else self._anew(problem)
        if plan.outcome.contradictions:
            raise RefusedError(plan.sentence)
        return plan

    def _anew(self, problem: Problem) -> Plan:
        altered = alter(problem, self.alteration)
        outcome = self._solve(altered, self.on_progress)
        return Plan(altered, outcome, tell_outcome(outcome), said_of_outcome(outcome))

    def _again(self, problem: Problem) -> Plan:
        share_again = reshare_in_child if self.is_apart else reshare_here
        found = share_again(
            problem, self.placements, self.alteration, self.effort, self.on_progress, self.brake
        )
        found = self._settle_new(problem, found)
        said = said_of_reshare(found)
        return Plan(found.problem, found.outcome, found.sentence, said, found.hit, found.disturbed)

    def _solve(self, problem: Problem, on_progress: Callable[[Progress], None] | None) -> Outcome:
        if self.is_apart:
            return solve_in_child(problem, self.effort, on_progress, (), self.brake)
        return solve_here(problem, self.effort, on_progress, self.brake)

    def _settle_new(self, was: Problem, found: Reshared) -> Reshared:
        """Place those who had no place before by their wishes, everybody else staying.

        A re-share counts how far sessions move, and one that had no place moves nowhere.
        """
        outcome, problem = found.outcome, found.problem
        before = {(place.ask, place.session) for place in self.placements}
        old = [place for place in outcome.placements if (place.ask, place.session) in before]
        if len(old) == len(outcome.placements):
            return found
        asks = tuple(replace(ask, pinned=_pins(ask.pinned, old, ask.key)) for ask in problem.asks)
        better = self._solve(replace(problem, asks=asks), None)
        if better.contradictions or better.placed < outcome.placed:
            return found
        return settled(found, was, self.placements, better, self.effort, self.brake)


def _pins(pinned: Sequence[Placement], old: Sequence[Placement], key: str) -> tuple[Placement, ...]:
    there = {pin.session for pin in pinned}
    own = [place for place in old if place.ask == key and place.session not in there]
    return (*pinned, *own)
