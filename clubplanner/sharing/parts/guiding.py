"""A relaxed part as a guide: which places a plan of fractions would take, and which are too dear.

It proves nothing, so it is solved roughly (by a first-order method) and leaves people out: what it
rounds to is made sound one session at a time, and what it calls too dear is only left out of a
search.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Any

import numpy as np
from ortools.linear_solver.python import model_builder

from clubplanner.sharing.ground.cliques import WHOLE, moments, most_side_by_side
from clubplanner.sharing.places.first_plan import fill_plan
from clubplanner.sharing.places.in_the_way import Index
from clubplanner.sharing.rules.book import too_many
from clubplanner.sharing.values.points import FIRST_POINTS, SESSION_POINTS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain

A_WISH_POINT = 0.01
"""What a wish point counts beside the points of placing."""
LEAST_TAKEN = 0.02
"""Places of which less is taken are not rounded."""
ROUGHLY = (
    "termination_criteria { simple_optimality_criteria { eps_optimal_relative: 1e-3 "
    "eps_optimal_absolute: 1e-3 } } num_threads: 1"
)


class Guide:
    """The relaxed part: a fraction of each slot, points of placing first and wish points next.

    Attributes:
        taken: How much of each slot is taken, about 0 to 1.
        worth: What each slot is worth at the prices of ground and sessions; below 0 is too dear.
    """

    def __init__(self, terrain: Terrain, slots: Slots) -> None:
        self._terrain, self._slots = terrain, slots
        self._model = model_builder.Model()  # type: ignore[no-untyped-call]
        self._helper = self._model.helper
        count = len(slots)
        asks = terrain.problem.asks
        points = np.array([SESSION_POINTS * ask.priority for ask in asks], dtype=np.float64)
        gains = points[slots.ask] + A_WISH_POINT * slots.score
        for slot in range(count):
            self._new_part(float(gains[slot]), is_pinned=bool(slots.is_pinned[slot]))
        self._helper.set_maximize(True)
        self._add_asks()
        for members in slots.by_pitch_and_day().values():
            self._add_ground(np.array(members, dtype=np.int64))
        self.taken = np.zeros(count)
        self.worth = np.zeros(count)

    def solve(self, seconds: float) -> bool:
        """Solve it roughly; tell whether there is anything to go by."""
        solver = model_builder.Solver("PDLP")
        solver.set_solver_specific_parameters(ROUGHLY)
        solver.set_time_limit_in_seconds(max(0.1, seconds))
        status = solver.solve(self._model)
        if status not in (model_builder.SolveStatus.OPTIMAL, model_builder.SolveStatus.FEASIBLE):
            return False
        variables = self._model.get_variables()
        count = len(self._slots)
        self.taken = np.array(solver.values(variables), dtype=np.float64)[:count]
        self.worth = np.array(solver.reduced_costs(variables), dtype=np.float64)[:count]
        return True

    def rounded(self, candidates: Candidates) -> NDArray[np.int64]:
        """Make a sound plan of it: what is taken most comes first, then whatever still has room."""
        index = Index(self._terrain, candidates)
        kept = np.flatnonzero(candidates.session >= 0).tolist()
        wanted = [ask.sessions for ask in self._terrain.problem.asks]
        free = candidates.session < 0
        for row in kept:
            wanted[int(candidates.ask[row])] -= 1
            free[index.in_the_way(row)] = False
        order = np.argsort(-self.taken, kind="stable")
        for slot in order[: int((self.taken > LEAST_TAKEN).sum())].tolist():
            ask = int(self._slots.ask[slot])
            own = [row for row in self._slots.rows[slot] if free[row]]
            if wanted[ask] <= 0 or not own:
                continue
            row = own[0]
            one = candidates.take(np.array([row], dtype=np.int64))
            if too_many(self._terrain, one, candidates.take(np.array(kept, dtype=np.int64)))[0]:
                continue
            kept.append(row)
            wanted[ask] -= 1
            free[index.in_the_way(row)] = False
        return fill_plan(self._terrain, candidates, kept)

    def worth_keeping(
        self, candidates: Candidates, most: int, keep: Iterable[int]
    ) -> NDArray[np.bool_]:
        """Mark the candidates that are worth going on with.

        Args:
            candidates: All of them.
            most: Slots of each ask that are kept, those of most worth.
            keep: Candidates that are kept whatever they are worth; the pinned ones are as well.
        """
        kept = candidates.session >= 0
        kept[list(keep)] = True
        order = np.lexsort((-self.taken, -self.worth, self._slots.ask))
        asks = self._slots.ask[order]
        first = np.searchsorted(asks, asks, side="left")
        for slot in order[np.arange(len(order)) - first < most].tolist():
            kept[list(self._slots.rows[slot])] = True
        return np.asarray(kept)

    def _new_part(self, gain: float, *, is_pinned: bool = False) -> int:
        number: Any = self._helper.add_var()
        self._helper.set_var_lower_bound(number, 1.0 if is_pinned else 0.0)
        self._helper.set_var_upper_bound(number, 1.0)
        self._helper.set_var_objective_coefficient(number, gain)
        return int(number)

    def _add_asks(self) -> None:
        asks = self._terrain.problem.asks
        by_day: dict[tuple[int, int], list[int]] = defaultdict(list)
        by_ask: dict[int, list[int]] = defaultdict(list)
        by_squad: dict[str, list[int]] = defaultdict(list)
        top: dict[str, int] = defaultdict(int)
        for slot, (ask, day) in enumerate(
            zip(self._slots.ask.tolist(), self._slots.day.tolist(), strict=True)
        ):
            by_day[ask, day].append(slot)
            by_ask[ask].append(slot)
            by_squad[asks[ask].squad].append(slot)
            top[asks[ask].squad] = max(top[asks[ask].squad], asks[ask].priority)
        for members in by_day.values():
            self._add_row(members, [1.0] * len(members), 1.0)
        for ask, members in by_ask.items():
            self._add_row(members, [1.0] * len(members), float(asks[ask].sessions))
        for squad, own in by_squad.items():
            first = self._new_part(float(FIRST_POINTS * top[squad]))
            self._add_row([first, *own], [1.0, *([-1.0] * len(own))], 0.0)

    def _add_ground(self, members: NDArray[np.int64]) -> None:
        """Hold the weights in use at one moment, over a pitch and over each set of its parts."""
        slots = self._slots
        start = slots.start[members]
        end = slots.end[members] + self._terrain.problem.changeover_minutes
        weight = slots.weight[members]
        for inside, room in self._sets(members):
            for moment in moments(zip(start[inside].tolist(), end[inside].tolist(), strict=True)):
                on = inside & (start <= moment) & (moment < end)
                weights = weight[on]
                if weights.sum() > room:
                    self._add_row(members[on].tolist(), (weights / room).tolist(), 1.0)

    def _sets(self, members: NDArray[np.int64]) -> Iterator[tuple[NDArray[np.bool_], int]]:
        """Go through the sets of grounds of a pitch that slots share: who is in, how much fits."""
        slots, cells = self._slots, self._terrain.cells
        owners = [frozenset(slots.grounds[slot]) for slot in members.tolist()]
        weight_of = {
            ground: int(slots.weight[slot])
            for slot, own in zip(members.tolist(), owners, strict=True)
            for ground in own
        }
        sets = {*owners, frozenset(weight_of)}
        for grounds in sorted(sets, key=sorted):
            inside = np.array([own <= grounds for own in owners], dtype=bool)
            parts = [(int(cells[ground]), weight_of[ground]) for ground in sorted(grounds)]
            room = most_side_by_side(parts)
            yield inside, WHOLE if room is None else room

    def _add_row(self, members: Sequence[int], factors: Sequence[float], most: float) -> None:
        helper = self._helper
        row = helper.add_linear_constraint()
        helper.set_constraint_lower_bound(row, -np.inf)
        helper.set_constraint_upper_bound(row, most)
        for member, factor in zip(members, factors, strict=True):
            helper.add_term_to_constraint(row, member, factor)
