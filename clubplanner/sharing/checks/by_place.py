"""A problem by pitch and day, and a plan by whose and where: so that rules look at neighbours only.

Nothing is judged here. A piece holds everything that is said of its pitch then, so that a rule says
of a place there what it would say with the whole problem before it.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from itertools import combinations
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterable, Sequence

    from clubplanner.sharing.values.problem import Placement, Problem

_Item = TypeVar("_Item")
_Key = TypeVar("_Key", bound="Hashable")


def grouped(items: Iterable[_Item], key: Callable[[_Item], _Key]) -> dict[_Key, list[_Item]]:
    """Return items by what they have in common, each list in their order; others have none."""
    found: dict[_Key, list[_Item]] = defaultdict(list)
    for item in items:
        found[key(item)].append(item)
    return found


def pairs_with_one_of(
    items: Sequence[Placement], *keys: Callable[[Placement], Hashable | None]
) -> list[tuple[Placement, Placement]]:
    """Pair sessions that have something in common.

    Args:
        items: Sessions.
        keys: What they may have in common; None is in common with nobody.

    Returns:
        Each such pair once, in the order in which all pairs would stand.
    """
    found: set[tuple[int, int]] = set()
    for key in keys:
        by_key = grouped(enumerate(items), lambda one, key=key: key(one[1]))  # type: ignore[misc]
        for value, own in by_key.items():
            if value is not None:
                found.update(combinations([number for number, _ in own], 2))
    return [(items[a], items[b]) for a, b in sorted(found)]


class ByPlace:
    """What a problem says of each pitch, and of each pitch on each day, as problems of their own.

    All asks and days stay; pairs of squads, too.
    """

    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        self._grounds = grouped(problem.grounds, lambda one: one.pitch)
        self._openings = grouped(problem.openings, lambda one: one.venue)
        self._darkness = grouped(problem.darkness, lambda one: one.venue)
        self._lights_out = grouped(problem.lights_out, lambda one: one.venue)
        self._standing = grouped(problem.standing, lambda one: one.pitch)
        self._loads = grouped(problem.loads, lambda one: one.pitch)
        self._prices = grouped(problem.prices, lambda one: one.venue)
        self._asks = grouped(problem.asks, lambda one: one.squad)
        self._squads = {ask.key: ask.squad for ask in problem.asks}
        self._pitches = {ground.key: ground.pitch for ground in problem.grounds}
        self._of_squad: dict[str, Problem] = {}
        self._pieces: dict[tuple[str, int | None], Problem] = {}

    def on(self, pitch: str) -> Problem:
        """Return what is said of a pitch and its venue."""
        if (pitch, None) not in self._pieces:
            self._pieces[pitch, None] = self._on([pitch])
        return self._pieces[pitch, None]

    def at(self, pitch: str, day: int) -> Problem:
        """Return what is said of a pitch and its venue on a day, limits on weeks apart."""
        if (pitch, day) not in self._pieces:
            here, dates = self.on(pitch), set(self._problem.days[day].dates)
            self._pieces[pitch, day] = replace(
                here,
                openings=tuple(one for one in here.openings if one.day == day),
                darkness=tuple(one for one in here.darkness if one.day == day),
                lights_out=tuple(one for one in here.lights_out if one.day == day),
                standing=tuple(one for one in here.standing if one.date in dates),
                loads=(),
            )
        return self._pieces[pitch, day]

    def of_squad(self, squad: str) -> Problem:
        """Return the whole with the asks of a squad alone."""
        if squad not in self._of_squad:
            self._of_squad[squad] = replace(self._problem, asks=tuple(self._asks[squad]))
        return self._of_squad[squad]

    def about(self, placements: Iterable[Placement]) -> Problem:
        """Return what is said of the pitches and the squads of some sessions.

        Ground that there is not is left out.
        """
        items = list(placements)
        squads = dict.fromkeys(self._squads[item.ask] for item in items)
        known = [item.ground for item in items if item.ground in self._pitches]
        return replace(
            self._on(list(dict.fromkeys(self._pitches[ground] for ground in known))),
            asks=tuple(ask for squad in squads for ask in self._asks[squad]),
        )

    def _on(self, pitches: Sequence[str]) -> Problem:
        venues = dict.fromkeys(self._grounds[pitch][0].venue for pitch in pitches)
        return replace(
            self._problem,
            grounds=tuple(one for pitch in pitches for one in self._grounds[pitch]),
            openings=tuple(one for venue in venues for one in self._openings[venue]),
            darkness=tuple(one for venue in venues for one in self._darkness[venue]),
            lights_out=tuple(one for venue in venues for one in self._lights_out[venue]),
            standing=tuple(one for pitch in pitches for one in self._standing[pitch]),
            loads=tuple(one for pitch in pitches for one in self._loads[pitch]),
            prices=tuple(one for venue in venues for one in self._prices[venue]),
        )


class Sessions:
    """The sessions of a plan by whose and where; each list in the order of the plan.

    Attributes:
        plan: All of them.
        of_squad: By squad.
        on_day: By day.
        on_pitch: By pitch.
        there: By pitch and day.
        with_squad: By squad and day.
        with_coach: By coach and day.
    """

    def __init__(self, problem: Problem, plan: Sequence[Placement]) -> None:
        asks = {ask.key: ask for ask in problem.asks}
        pitches = {ground.key: ground.pitch for ground in problem.grounds}
        self._asks, self._pitches = asks, pitches
        self._limited = {load.pitch for load in problem.loads}
        self._numbers = grouped(range(len(plan)), lambda number: plan[number])
        self.plan = plan
        self.of_squad = grouped(plan, lambda item: asks[item.ask].squad)
        self.on_day = grouped(plan, lambda item: item.day)
        self.on_pitch = grouped(plan, lambda item: pitches[item.ground])
        self.there = grouped(plan, lambda item: (pitches[item.ground], item.day))
        self.with_squad = grouped(plan, lambda item: (asks[item.ask].squad, item.day))
        self.with_coach = grouped(
            (item for item in plan if asks[item.ask].coach is not None),
            lambda item: (asks[item.ask].coach, item.day),
        )

    def in_order(self, items: Iterable[Placement]) -> list[Placement]:
        """Return sessions of the plan in its order, each as often as it stands there."""
        numbers = (number for item in set(items) for number in self._numbers[item])
        return [self.plan[number] for number in sorted(numbers)]

    def near(self, fresh: Iterable[Placement]) -> list[Placement]:
        """Return the sessions that new ones could get in the way of, or reach a limit with."""
        found: list[Placement] = []
        for item in fresh:
            ask, pitch = self._asks[item.ask], self._pitches.get(item.ground, "")
            found += self.of_squad[ask.squad] + self.there[pitch, item.day]
            if ask.coach is not None:
                found += self.with_coach[ask.coach, item.day]
            if pitch in self._limited:
                found += self.on_pitch[pitch]
        return self.in_order(found)
