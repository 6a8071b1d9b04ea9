"""The part of a plan that a change can bear on: its pitches, its squads and their coaches.

No rule is about two sessions that share neither ground nor a person, so whatever a change breaks or
mends, it does there. A plan of a thousand sessions is checked again by some twenty of them.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.values.problem import on_pitches

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from clubplanner.sharing.values.problem import Placement, Problem

_What = tuple[str, str]
"""A pitch, a squad or a coach, with its key."""


class Round:
    """A plan, looked at round changes.

    Args:
        problem: The problem.
        placements: The plan.
    """

    def __init__(self, problem: Problem, placements: Sequence[Placement]) -> None:
        self._problem = problem
        self._asks = {ask.key: ask for ask in problem.asks}
        self._grounds = {ground.key: ground for ground in problem.grounds}
        self._of: dict[_What, list[int]] = defaultdict(list)
        self._placements = placements
        for number, item in enumerate(placements):
            for what in self._bears_on(item):
                self._of[what].append(number)

    def part(self, changed: Iterable[Placement]) -> tuple[Problem, list[Placement]]:
        """Return what a change can bear on, as a problem and a plan of its own.

        Args:
            changed: Sessions of the plan that leave their places, and the places that are taken.

        Returns:
            The problem with the ground and the asks concerned, and what of the plan is there, in
            the plan's order.
        """
        touched = tuple(changed)
        concerned = {what for item in touched for what in self._bears_on(item)}
        numbers = sorted({number for what in concerned for number in self._of[what]})
        plan = [self._placements[number] for number in numbers]
        known = [*plan, *touched]
        asks = {item.ask for item in known}
        pitches = {self._grounds[item.ground].pitch for item in known}
        return self._narrowed(asks, pitches), plan

    def _narrowed(self, asks: set[str], pitches: set[str]) -> Problem:
        own = tuple(ask for ask in self._problem.asks if ask.key in asks)
        return replace(on_pitches(self._problem, pitches), asks=own, pairs=())

    def _bears_on(self, item: Placement) -> Iterator[_What]:
        ask = self._asks[item.ask]
        yield "pitch", self._grounds[item.ground].pitch
        yield "squad", ask.squad
        if ask.coach is not None:
            yield "coach", ask.coach
