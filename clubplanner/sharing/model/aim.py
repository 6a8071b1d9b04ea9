"""What an aim is: all that the search, its bounds and its parts ask of one.

Every aim has an entry in `aim_book`. Nothing else tells aims apart by name, but for placing
sessions, which has ways of its own to be searched (`search.evenings`) and to be proved
(`values.certificate`).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.model.measures import satisfactions_of
from clubplanner.sharing.values.levels import WHOLE_WEEK
from clubplanner.sharing.values.outcome import Level
from clubplanner.sharing.values.points import FIRST_POINTS, PAIR_POINTS, SESSION_POINTS
from clubplanner.sharing.wishes.two_squads import AVERSE

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    from numpy.typing import NDArray
    from ortools.sat.python import cp_model

    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.model.model import ShareModel
    from clubplanner.sharing.values.outcome import Satisfaction
    from clubplanner.sharing.values.problem import Problem


class Over(Enum):
    """How an aim of a whole follows from the same aim of pieces that have nothing in common."""

    SUM = "sum"
    """It is the sum of theirs."""
    LEAST = "least"
    """It is the least of theirs: that of the piece which serves its own worst."""
    COMMON = "common"
    """It is about what they have in common, and does not follow."""


class Seeks(Enum):
    """Whose sessions are looked at again, so that an aim gets better."""

    OPEN = "open"
    """Those of asks that miss sessions."""
    BADLY_OFF = "badly off"
    """Those of squads that are badly served."""
    ANYBODY = "anybody"


@dataclass(frozen=True, slots=True)
class Aim:
    """One aim of a share-out.

    Attributes:
        name: Its words, which are its code in results; never given another meaning.
        is_more_better: Whether more of it is better; otherwise less is.
        is_had: Whether a problem has this aim.
        worth: What a plan comes to.
        most: What no plan can pass, from what each squad could have by itself.
        expression: The same as `worth` for a model; what it needs is added to the model.
        over: How it follows from pieces.
        relax_part: Part of the steps still left that it may use on the model of the whole.
        polish_part: Part of those then left that it may use on bettering the plan piece by piece;
            what the last aim leaves goes to the model of the whole again, which may still prove it.
        scale: What a distance from the bound is a part of, from the value and what makes the value
            of a plan with no session.
        seeks: Whose sessions are looked at again.
        attained: What a plan can come to at most within a bound, where values have steps.
        in_the_way: Asks whose sessions keep it from being better; None where that is not told.
        waits_for_cost: Whether it comes after cost in a problem, and not where `AIMS` has it.
        is_narrowed: Whether single values are asked for first (`search.narrowing`).
        is_traded: Whether a result tells what it had before the week was worked on, and has.
    """

    name: str
    is_more_better: bool
    is_had: Callable[[Problem], bool]
    worth: Callable[[Chosen], int]
    most: Callable[[Alone], int]
    expression: Callable[[ShareModel], cp_model.LinearExprT]
    relax_part: float
    polish_part: float
    over: Over = Over.SUM
    scale: Callable[[int, Callable[[], int]], int] = lambda value, _nothing: abs(value)
    seeks: Seeks = Seeks.ANYBODY
    attained: Callable[[Alone, int], int] = lambda _alone, bound: bound
    in_the_way: Callable[[Chosen], list[int]] | None = None
    waits_for_cost: Callable[[Problem], bool] = lambda _problem: False
    is_narrowed: bool = False
    is_traded: bool = False

    @property
    def sign(self) -> int:
        """Return 1 where more is better, -1 where less is."""
        return 1 if self.is_more_better else -1

    @property
    def is_of_week(self) -> bool:
        """Whether it is about the week as a whole (`values.levels.WHOLE_WEEK`)."""
        return self.name in WHOLE_WEEK

    def level(self, value: int, bound: int, nothing: Callable[[], int]) -> Level:
        """Say how far a plan is from a bound.

        Args:
            value: What the plan reaches.
            bound: What is proved that no plan can pass; where the plan does, the plan is right.
            nothing: Makes the value of a plan with no session.
        """
        bound = max(value, bound) if self.is_more_better else min(value, bound)
        return Level(self.name, value, bound, value == bound, self.gap(value, bound, nothing))

    def gap(self, value: int, bound: int, nothing: Callable[[], int]) -> float:
        """Measure how far a value is from a bound, as a part of the aim's scale."""
        return abs(bound - value) / max(1, self.scale(value, nothing))

    def keep(self, share: ShareModel, value: int) -> None:
        """Let no plan of a model be worse than a value."""
        aim = share.aim(self.name)
        share.model.add(aim >= value if self.is_more_better else aim <= value)


class Chosen:
    """Chosen slots of a problem, with what several aims are computed from."""

    def __init__(
        self,
        terrain: Terrain,
        slots: Slots,
        plan: Sequence[int],
        best: NDArray[np.int64],
        cost_of: Callable[[Sequence[int]], int],
    ) -> None:
        """Remember the plan.

        Args:
            terrain: The problem's columns.
            slots: The merged candidates.
            plan: Which of them are chosen.
            best: What each ask could have alone, in wish points.
            cost_of: What chosen slots cost.
        """
        self.terrain = terrain
        self.problem = terrain.problem
        self.slots = slots
        self.plan = plan
        self.cost_of = cost_of
        self._best = best

    @cached_property
    def placed(self) -> list[int]:
        """Number of sessions by ask."""
        found = self.slots.ask[np.array(self.plan, dtype=np.int64)]
        counts = np.bincount(found, minlength=len(self.problem.asks))
        return [int(count) for count in counts]

    @cached_property
    def scores(self) -> list[int]:
        """Wish points by ask, without those for pairs of squads."""
        scores = np.zeros(len(self.problem.asks), dtype=np.int64)
        rows = np.array(self.plan, dtype=np.int64)
        np.add.at(scores, self.slots.ask[rows], self.slots.score[rows])
        return scores.tolist()

    @cached_property
    def served(self) -> tuple[Satisfaction, ...]:
        """How well each squad is served."""
        return satisfactions_of(self.problem, self.scores, self._best.tolist())


class Alone:
    """What each squad could have by itself, from which follows what no plan can pass."""

    def __init__(
        self,
        terrain: Terrain,
        best: NDArray[np.int64],
        days: Sequence[int] | NDArray[np.int64],
        *,
        asks: Collection[int] | None = None,
        slots: Slots | None = None,
        points: int = 0,
    ) -> None:
        """Remember what squads could have.

        Args:
            terrain: The problem's columns.
            best: What each ask could have alone, in wish points.
            days: On how many days each ask has a place.
            asks: Numbers of the asks that count; None for all.
            slots: The merged candidates; None where nobody has listed them.
            points: Points in placing sessions that plans have at least.
        """
        self.terrain = terrain
        self.problem = terrain.problem
        self.slots = slots
        self._best, self._points = best, points
        self._asks = set(range(len(self.problem.asks))) if asks is None else set(asks)
        self.placed = [
            min(ask.sessions, int(days[number])) if number in self._asks else 0
            for number, ask in enumerate(self.problem.asks)
        ]

    @property
    def wish_points(self) -> int:
        """Return the points of all wishes, those about pairs of squads among them."""
        sessions: dict[str, int] = {}
        for number in self._asks:
            ask = self.problem.asks[number]
            sessions[ask.squad] = sessions.get(ask.squad, 0) + ask.sessions
        pairs = sum(
            PAIR_POINTS[pair.grade] * sessions.get(pair.squad, 0)
            for pair in self.problem.pairs
            if pair.kind not in AVERSE
        )
        return int(self._best[sorted(self._asks)].sum()) + pairs

    @cached_property
    def least_placed(self) -> int:
        """How many sessions it takes at least for the points in placing."""
        firsts: dict[str, int] = {}
        weights: list[int] = []
        for ask in self.problem.asks:
            weights += [SESSION_POINTS * ask.priority] * ask.sessions
            firsts[ask.squad] = max(FIRST_POINTS * ask.priority, firsts.get(ask.squad, 0))
        weights.sort(reverse=True)
        tops = sorted(firsts.values(), reverse=True)
        count = total = 0
        while total < self._points and count < len(weights):
            total += weights[count] + (tops[count] if count < len(tops) else 0)
            count += 1
        return count

    @property
    def is_full(self) -> bool:
        """Whether plans have every session that squads could have by themselves."""
        return self.least_placed >= sum(self.placed)
