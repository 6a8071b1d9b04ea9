"""What it costs to insist on one session: who would move, who would lose, and what that is worth.

The plan is shared out again around that session, changed as little as can be. In a large club only
those near it may move; what is proved then holds with everybody else where they are.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.again.alteration import Alteration
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.reasons.exchanges import squad_of
from clubplanner.sharing.reasons.held import hold
from clubplanner.sharing.rules.book import (
    RULES,
    bit_of,
    broken_by_ask,
    broken_on_ground,
    look_at,
    say_rule,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.again.reshare import Reshared
    from clubplanner.sharing.values.facts import RuleSaid
    from clubplanner.sharing.values.problem import Ask, Placement, Problem

MOST_FREE = 120
"""So many asks may have other places; in a larger club those nearest to the session."""


@dataclass(frozen=True, slots=True)
class Insisted:
    """A session that is insisted on, ready to be shared out around.

    Attributes:
        problem: The problem, in which those stay who are not to move.
        alteration: The session as a pin.
        is_everybody: Whether everybody may move who is not pinned anyway.
    """

    problem: Problem
    alteration: Alteration
    is_everybody: bool


@dataclass(frozen=True, slots=True)
class Stake:
    """What it would mean for a squad.

    Attributes:
        squad: Its key.
        squad_name: As people say it.
        before: Percent of the best it could have alone that it has now.
        after: What it would have.
        lost: Sessions that it would have no more.
        moved: Sessions that would be elsewhere, each with its new place.
        won: Sessions that it has not now.
    """

    squad: str
    squad_name: str
    before: int
    after: int
    lost: tuple[Placement, ...]
    moved: tuple[tuple[Placement, Placement], ...]
    won: tuple[Placement, ...]


def insist(
    problem: Problem, standing: Sequence[Placement], pin: Placement, most: int = MOST_FREE
) -> Insisted:
    """Prepare a problem for insisting on a session.

    Nobody gets more sessions than now, so that what changes is what the session costs.

    Args:
        problem: The problem, with its pins.
        standing: The plan.
        pin: The session, where and when it is to be.
        most: How many asks may have other places.
    """
    by_ask: dict[str, list[Placement]] = {}
    for item in standing:
        by_ask.setdefault(item.ask, []).append(item)
    is_everybody = len(problem.asks) <= most
    free = None if is_everybody else _nearest(problem, standing, pin, most)
    asks = [
        ask
        if ask.key == pin.ask
        else _as_it_is(ask, by_ask.get(ask.key, []), is_free=free is None or ask.key in free)
        for ask in problem.asks
    ]
    changed = replace(problem, asks=tuple(asks))
    return Insisted(changed, Alteration(pins=(pin,)), is_everybody)


def stakes(problem: Problem, standing: Sequence[Placement], done: Reshared) -> tuple[Stake, ...]:
    """Tell for each squad that would be touched what it has and what it would have.

    Args:
        problem: The problem as it is, with its pins.
        standing: The plan.
        done: The plan with the session that is insisted on.

    Returns:
        Those who lose a session first, then those who move, then those who gain, each by how far
        they fall.
    """
    terrain = survey(problem)
    now, then = hold(terrain, standing), hold(terrain, done.outcome.placements)
    numbers = {ask.key: number for number, ask in enumerate(problem.asks)}
    squads = {ask.key: ask.squad for ask in problem.asks}
    found: list[Stake] = []
    for squad in dict.fromkeys(squads[move.ask] for move in done.moves):
        moves = [move for move in done.moves if squads[move.ask] == squad]
        number = numbers[moves[0].ask]
        found.append(
            Stake(
                squad,
                problem.asks[number].squad_name,
                squad_of(now, number).percent,
                squad_of(then, number).percent,
                tuple(m.old for m in moves if m.old is not None and m.new is None),
                tuple((m.old, m.new) for m in moves if m.old is not None and m.new is not None),
                tuple(m.new for m in moves if m.old is None and m.new is not None),
            )
        )
    return tuple(sorted(found, key=_by_harm))


def broken_wants(problem: Problem, pin: Placement) -> tuple[RuleSaid, ...]:
    """List the rules of the squad's own ask that a session breaks; they do not bind what is pinned.

    What binds pins as well makes the problem impossible and is told there.
    """
    terrain = survey(problem)
    ask = next(one for one in problem.asks if one.key == pin.ask)
    number = next(n for n, one in enumerate(problem.grounds) if one.key == pin.ground)
    starts = np.array([pin.start_min], dtype=np.int64)
    stays, bits = look_at(terrain, pin.end_min - pin.start_min, pin.day, starts)
    broken = int((bits | broken_by_ask(terrain, ask, stays))[number, 0])
    broken |= int(broken_on_ground(terrain, ask)[number])
    return tuple(
        say_rule(terrain, ask, rule, (number,))
        for rule in RULES
        if broken & bit_of(rule) and rule.words is not None and not rule.binds_pins
    )


def is_asked_time(ask: Ask, pin: Placement) -> bool:
    """Tell whether a session lies within the times that its squad can come."""
    return any(
        w.day == pin.day and w.start_min <= pin.start_min and pin.end_min <= w.end_min
        for w in ask.possible
    )


def _by_harm(one: Stake) -> tuple[bool, bool, int, str]:
    return (
        not one.lost,
        not one.moved,
        one.after - one.before,
        one.squad_name,
    )


def _nearest(
    problem: Problem, standing: Sequence[Placement], pin: Placement, most: int
) -> set[str]:
    """Choose the asks nearest to a session: in its way, on its pitch, on its day, by the hour."""
    grounds = {ground.key: ground for ground in problem.grounds}
    pitch, venue = grounds[pin.ground].pitch, grounds[pin.ground].venue

    def distance(item: Placement) -> tuple[bool, bool, bool, int]:
        ground = grounds[item.ground]
        away = max(item.start_min - pin.end_min, pin.start_min - item.end_min, 0)
        return item.day != pin.day, ground.pitch != pitch, ground.venue != venue, away

    squads = {ask.key: ask.squad for ask in problem.asks}
    counts = Counter(squads.values())
    near = [squads[pin.ask], *(squads[item.ask] for item in sorted(standing, key=distance))]
    free: set[str] = set()
    for squad in dict.fromkeys(near):
        most -= counts[squad]
        if most >= 0 or not free:
            free.add(squad)
    return {key for key, squad in squads.items() if squad in free}


def _as_it_is(ask: Ask, own: Sequence[Placement], *, is_free: bool) -> Ask:
    """Return an ask that gets no more sessions than it has, and keeps its places if not free."""
    if not own:
        return replace(ask, possible=(), pinned=())
    if is_free:
        return replace(ask, sessions=max(len(own), *(item.session + 1 for item in own)))
    return replace(ask, pinned=tuple(own), possible=())
