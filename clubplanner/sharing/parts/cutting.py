"""A part of a share-out as a problem by itself, with all else that concerns it pinned."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.sharing.values.problem import on_pitches

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from clubplanner.sharing.values.problem import Ask, Placement, Problem

Plan = dict[str, tuple["Placement", ...]]
"""Sessions with their places, by ask."""


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a share-out.

    Attributes:
        problem: Its asks and ground; sessions that it leaves where they are are pinned.
        best: What each of its asks could have with everything to itself, in wish points.
        pitches: Where sessions that are not pinned may be.
        start: Sessions that it may move, where they are now.
        free: Keys of the asks whose sessions on its pitches it may move and place.
        aims: How many aims to work on, the first ones; None for all, 0 for a quick plan alone.
        is_exact: Whether what is proved of it is to hold, so that no place may be left out.
    """

    problem: Problem
    best: tuple[int, ...]
    pitches: frozenset[str]
    start: tuple[Placement, ...]
    free: frozenset[str]
    aims: int | None = None
    is_exact: bool = False


def plan_of(placements: Collection[Placement]) -> Plan:
    """Gather placements by ask."""
    plan: dict[str, list[Placement]] = {}
    for item in placements:
        plan.setdefault(item.ask, []).append(item)
    return {key: tuple(items) for key, items in plan.items()}


def sessions_of(plan: Plan) -> tuple[Placement, ...]:
    """Return the placements of a plan, in an order that it alone decides."""
    items = [item for own in plan.values() for item in own]
    return tuple(sorted(items, key=lambda item: (item.day, item.start_min, item.ground, item.ask)))


class Cutter:
    """Cuts parts out of a problem."""

    def __init__(self, problem: Problem, best: Sequence[int]) -> None:
        self._problem = problem
        self._best = {ask.key: int(points) for ask, points in zip(problem.asks, best, strict=True)}
        self._pitch = {ground.key: ground.pitch for ground in problem.grounds}
        self._asks = {ask.key: ask for ask in problem.asks}
        self._friends: dict[tuple[str, str], list[str]] = {}
        for ask in problem.asks:
            for person in _persons(ask):
                self._friends.setdefault(person, []).append(ask.key)
        self._partners: dict[str, set[str]] = {}
        for pair in problem.pairs:
            self._partners.setdefault(pair.squad, set()).add(pair.other)
            self._partners.setdefault(pair.other, set()).add(pair.squad)

    def cut(
        self,
        plan: Mapping[str, Sequence[Placement]],
        pitches: Collection[str],
        free: Collection[str],
        aims: int | None = None,
        *,
        is_exact: bool = False,
    ) -> Part:
        """Cut a part out.

        Args:
            plan: Everybody's sessions.
            pitches: Where the part places sessions.
            free: Keys of the asks that it may move and place there.
            aims: See `Part`.
            is_exact: See `Part`.
        """
        where, may_move = frozenset(pitches), frozenset(free)
        concerned = set(may_move) | self._concerned(may_move)
        concerned |= {
            key for key, own in plan.items() if any(self._pitch[i.ground] in where for i in own)
        }
        asks: list[Ask] = []
        start: list[Placement] = []
        for ask in self._problem.asks:
            if ask.key not in concerned:
                continue
            own = tuple(plan.get(ask.key, ()))
            given = {pin.session for pin in ask.pinned}
            moving = [
                item
                for item in own
                if ask.key in may_move
                and self._pitch[item.ground] in where
                and item.session not in given
            ]
            start += moving
            pinned = tuple(item for item in own if item not in moving)
            possible = ask.possible if ask.key in may_move else ()
            asks.append(replace(ask, pinned=pinned, possible=possible))
        return Part(
            problem=self._problem_of(asks, where),
            best=tuple(self._best[ask.key] for ask in asks),
            pitches=where,
            start=tuple(start),
            free=may_move,
            aims=aims,
            is_exact=is_exact,
        )

    def persons_of(self, keys: Collection[str]) -> set[tuple[str, str]]:
        """Return the squads and coaches of asks."""
        return {person for key in keys for person in _persons(self._asks[key])}

    def _concerned(self, keys: Collection[str]) -> set[str]:
        """Return the asks that share a squad or a coach with some, or a wish about two squads."""
        found = {other for p in self.persons_of(keys) for other in self._friends[p]}
        squads = {self._asks[key].squad for key in keys}
        partners = {other for squad in squads for other in self._partners.get(squad, ())}
        return found | {key for squad in partners for key in self._friends["squad", squad]}

    def _problem_of(self, asks: Sequence[Ask], where: Collection[str]) -> Problem:
        """Leave out whatever does not concern some asks and pitches."""
        problem = self._problem
        pitches = {*where, *(self._pitch[pin.ground] for ask in asks for pin in ask.pinned)}
        squads = {ask.squad for ask in asks}
        return replace(
            on_pitches(problem, pitches),
            asks=tuple(asks),
            pairs=tuple(p for p in problem.pairs if p.squad in squads and p.other in squads),
        )


def _persons(ask: Ask) -> list[tuple[str, str]]:
    coach = [("coach", ask.coach)] if ask.coach is not None else []
    return [("squad", ask.squad), *coach]
