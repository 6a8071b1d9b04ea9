"""Sharing out one evening as it is: by who comes, with how many, on the ground there is.

Whoever stands is disturbed as little as can be, whoever has no place yet gets one by its wishes,
and nobody gets less ground than asked for. About as much as its numbers need a squad gets where
there is so much; where there is not, it has what it asks for, and the proposal says so.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from clubplanner.domain.club.turnouts import Turnout
from clubplanner.errors import RefusedError, ShareOutError
from clubplanner.language import _, figure
from clubplanner.services.problem.standing_plans import (
    Disruption,
    Scope,
    Standing,
    load_standing,
    placements_of_sessions,
)
from clubplanner.services.problem.tonight import Felt, with_numbers
from clubplanner.services.proposals.proposals import (
    Draft,
    ProposedSession,
    Sort,
    keep_proposal,
    outcome_as_json,
    sessions_from_placements,
)
from clubplanner.services.rows.snapshot import load_squads
from clubplanner.services.rows.stretches import stretch_or_day
from clubplanner.services.rows.turnouts import load_turnouts, with_turnout
from clubplanner.services.share_out.again import alteration_of, why_in_words
from clubplanner.sharing.again.alteration import alter
from clubplanner.sharing.solving.process import reshare_here, solve_here
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.problem import Effort, Placement, Problem, plain
from clubplanner.sharing.values.validating import ProblemError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date, datetime

    from clubplanner.domain.club.squads import Squad
    from clubplanner.sharing.values.outcome import Outcome, Progress
    from clubplanner.store.engine import Store

LOG = logging.getLogger("clubplanner.services")

AT_ONCE = Effort(seconds=1.2)
"""How hard to try while somebody waits for the page."""
MM2 = 1e-6
"""Ground that is smaller by so little, square metres, is as large."""


NOTHING = Disruption(fills=True)
"""Nothing has come up, and whoever lacks a session is to have one."""


@dataclass(frozen=True, slots=True)
class Tonight:
    """An evening that is to be shared out.

    Attributes:
        day: The local date.
        disruption: Ground that is closed, and whatever else has come up.
        pins: Sessions of an earlier proposal that stay where it put them.
    """

    day: date
    disruption: Disruption = NOTHING
    pins: tuple[ProposedSession, ...] = ()


@dataclass(frozen=True, slots=True)
class _Plan:
    """What a search came to.

    Attributes:
        problem: As it was solved, ground closed and pins set.
        outcome: The plan and its proofs.
        sentence: The same for a person.
        hit: Keys of squads that lose a place whatever is done.
        disturbed: Keys of squads that could have stayed and do not.
    """

    problem: Problem
    outcome: Outcome
    sentence: str
    hit: tuple[str, ...] = ()
    disturbed: tuple[str, ...] = ()


def propose_tonight(
    store: Store,
    wish: Tonight,
    effort: Effort,
    now: datetime,
    on_progress: Callable[[Progress], None] | None = None,
    brake: Brake | None = None,
) -> int:
    """Share an evening out and keep the proposal; nothing is booked until it is published.

    The search runs in the calling process.

    Args:
        store: The database.
        wish: Which evening, and what has come up. What was said of who comes is in the records.
        effort: How long to try, from which seed.
        now: The present instant; what has begun by then stays.
        on_progress: Told how far it is.
        brake: Ends the search early and keeps the best plan so far.

    Returns:
        The number of the proposal.

    Raises:
        MissingError: If closed ground is not there.
        RefusedError: If the evening is over or in a break, nobody comes, or there is no ground.
        ShareOutError: If the search broke off.
    """
    with store.read() as session:
        stretch = stretch_or_day(session, wish.day)
        scope = Scope(Sort.EVENING, wish.day)
        standing = load_standing(session, stretch, scope, wish.disruption, now)
        said, squads = load_turnouts(session, wish.day), load_squads(session)
    _refuse_nothing(standing)
    felt = with_numbers(standing.problem, standing.placements, said, squads)
    search = _Search(standing, wish, effort, on_progress, brake or Brake())
    plan = search.squeeze(felt)
    words = [*why_in_words(wish.disruption, standing.problem), *_less(felt, plan, said, squads)]
    with store.write() as session:
        return keep_proposal(session, stretch, _draft(standing, wish, plan, words, effort), now)


class _Search:
    """Searches for a plan of an evening, for one problem after the other."""

    def __init__(
        self,
        standing: Standing,
        wish: Tonight,
        effort: Effort,
        on_progress: Callable[[Progress], None] | None,
        brake: Brake,
    ) -> None:
        self.placements = standing.placements
        self.alteration = replace(
            alteration_of(standing.problem, wish.disruption),
            pins=placements_of_sessions(wish.pins, standing.problem),
        )
        self.effort, self.on_progress, self.brake = effort, on_progress, brake

    def squeeze(self, felt: Felt) -> _Plan:
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

    def _plan(self, problem: Problem) -> _Plan:
        """Search for the best plan of one problem.

        Raises:
            RefusedError: If pins contradict each other.
            ShareOutError: If the search broke off.
        """
        try:
            plan = self._again(problem) if self.placements else self._anew(problem)
        except ProblemError as fault:
            raise ShareOutError(
                _("These records cannot be shared out: %(fault)s", fault=fault)
            ) from fault
        if plan.outcome.contradictions:
            raise RefusedError(plan.sentence)
        return plan

    def _anew(self, problem: Problem) -> _Plan:
        altered = alter(problem, self.alteration)
        outcome = solve_here(altered, self.effort, self.on_progress, self.brake)
        return _Plan(altered, outcome, outcome.sentence)

    def _again(self, problem: Problem) -> _Plan:
        found = reshare_here(
            problem, self.placements, self.alteration, self.effort, self.on_progress, self.brake
        )
        outcome = self._settle_new(found.problem, found.outcome)
        return _Plan(found.problem, outcome, found.sentence, found.hit, found.disturbed)

    def _settle_new(self, problem: Problem, outcome: Outcome) -> Outcome:
        """Place those who had no place before by their wishes, everybody else staying.

        A re-share counts how far sessions move, and one that had no place moves nowhere.
        """
        before = {(place.ask, place.session) for place in self.placements}
        old = [place for place in outcome.placements if (place.ask, place.session) in before]
        if len(old) == len(outcome.placements):
            return outcome
        asks = tuple(replace(ask, pinned=_pins(ask.pinned, old, ask.key)) for ask in problem.asks)
        better = solve_here(replace(problem, asks=asks), self.effort, None, self.brake)
        if better.contradictions or better.placed < outcome.placed:
            return outcome
        return replace(outcome, placements=better.placements, satisfactions=better.satisfactions)


def _pins(pinned: Sequence[Placement], old: Sequence[Placement], key: str) -> tuple[Placement, ...]:
    there = {pin.session for pin in pinned}
    own = [place for place in old if place.ask == key and place.session not in there]
    return (*pinned, *own)


def _refuse_nothing(standing: Standing) -> None:
    if not standing.problem.grounds:
        raise RefusedError(_("There is no pitch to share out; add the club's grounds first."))
    if not standing.problem.asks:
        raise RefusedError(
            _("Nobody comes on this evening who could be moved or placed; say first who comes.")
        )


def _less(
    felt: Felt, plan: _Plan, said: Mapping[str, Turnout], squads: Sequence[Squad]
) -> list[str]:
    """Say who has less ground than their numbers need, a sentence each."""
    by_key = {squad.key: squad for squad in squads}
    grounds = {ground.key: ground for ground in plan.problem.grounds}
    needed = {ask.key: ask for ask in felt.problem.asks if ask.key in felt.asked_m2}
    lines = []
    for place in plan.outcome.placements:
        ask, ground = needed.get(place.ask), grounds[place.ground]
        if ask is None or ground.area_m2 >= ask.least_m2 - MM2:
            continue
        squad = by_key[ask.squad]
        here = with_turnout(squad, said.get(squad.key, Turnout()))
        lines.append(
            _(
                "%(squad)s come with %(players)s and have %(m2)s m² for them: there is no room "
                "for more.",
                squad=squad.name,
                players=here.players,
                m2=figure(ground.area_m2, ",.0f"),
            )
        )
    return lines


def _draft(
    standing: Standing, wish: Tonight, plan: _Plan, words: Sequence[str], effort: Effort
) -> Draft:
    names = {ask.squad: ask.squad_name for ask in (*standing.problem.asks, *plan.problem.asks)}
    extra: dict[str, Any] = {
        **outcome_as_json(plan.outcome, effort),
        "hit": [names[squad] for squad in plan.hit],
        "disturbed": [names[squad] for squad in plan.disturbed],
        "why": list(words),
        "disruption": plain(wish.disruption),
    }
    squads = standing.squads or frozenset()
    return Draft(
        sort=Sort.EVENING,
        first=wish.day,
        last=wish.day,
        squads=squads | wish.disruption.dropped,
        sessions=sessions_from_placements(plan.problem, plan.outcome.placements),
        closures=wish.disruption.closures,
        kind=plan.outcome.kind.value,
        sentence=plan.sentence,
        extra=extra,
    )
