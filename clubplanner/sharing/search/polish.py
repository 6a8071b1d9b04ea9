"""Bettering a plan piece by piece: a few squads are freed, placed anew exactly, kept if better.

It proves nothing. It makes good plans of large clubs, and puts right what a relaxed plan could not
lay out on concrete ground.
"""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.sharing.model.aim import Over, Seeks
from clubplanner.sharing.model.aim_book import aim_named, level_names
from clubplanner.sharing.model.layout import lay_out
from clubplanner.sharing.model.measures import satisfactions_of, shortfall_points
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.model.solvers import new_solver, was_cut
from clubplanner.sharing.places.in_the_way import Index
from clubplanner.sharing.places.merging import ground_weights, merge
from clubplanner.sharing.rules.book import too_many
from clubplanner.sharing.values.levels import FAIRNESS, WISHES

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.model.plan_worth import PlanWorth
    from clubplanner.sharing.values.budget import Budget

FEWEST_FREED, MOST_FREED = 8, 16
"""Asks freed at once: few at first, more when that no longer helps."""
EVENING_SIZE = 5
"""Asks for each evening of a pitch that is freed altogether."""
STEPS_EACH = 0.6
"""Steps that one piece of work may take."""
TRY_STEPS, ROW_STEPS = 0.02, 2e-5
"""Steps that a try counts beside the search's own, and that each of its candidates does: about as
long as the writing of its model takes."""
TIE = 10_000
"""What a point of the aim worked on counts against a wish point."""
PATIENCE = 60
"""So many tries in a row without a better plan end the work on an aim, at full size."""


class Polisher:
    """Betters one plan of a problem.

    Attributes:
        rows: The plan, as numbers of candidates.
        slot_of: The slot of each candidate.
    """

    def __init__(
        self,
        terrain: Terrain,
        candidates: Candidates,
        slots: Slots,
        best: NDArray[np.int64],
        worth: PlanWorth,
        budget: Budget,
    ) -> None:
        self.terrain = terrain
        self.candidates = candidates
        self.best = best
        self.worth = worth
        self.budget = budget
        self.names = level_names(terrain.problem)
        self.rows: set[int] = set()
        self.slot_of = np.zeros(len(candidates), dtype=np.int64)
        for slot, rows in enumerate(slots.rows):
            self.slot_of[list(rows)] = slot
        self._index = Index(terrain, candidates)
        self._pitch = terrain.pitch[candidates.ground]
        self._weights = ground_weights(terrain)
        self._blocked = np.zeros(len(candidates), dtype=np.int64)
        self._chance = random.Random(budget.effort.seed)  # noqa: S311 - a search, nothing secret
        self._squads: dict[str, list[int]] = {}
        for number, ask in enumerate(terrain.problem.asks):
            self._squads.setdefault(ask.squad, []).append(number)
        nothing = satisfactions_of(terrain.problem, [0] * len(best), best.tolist())
        self._nothing = {item.squad: shortfall_points([item]) for item in nothing}

    def adopt(self, rows: Collection[int]) -> None:
        """Start from a plan."""
        for row in self.rows - set(rows):
            self._blocked[self._index.in_the_way(row)] -= 1
        for row in set(rows) - self.rows:
            self._blocked[self._index.in_the_way(row)] += 1
        self.rows = set(rows)

    def run(
        self,
        name: str,
        part: float,
        enough: int,
        note: Callable[[int, int], None],
        clock_part: float | None = None,
    ) -> None:
        """Better the plan on one aim, keeping what earlier aims reached.

        Args:
            name: Which aim.
            part: Part of the steps left that may be used.
            enough: A value of the aim that no plan can pass.
            note: Told of each better value, with `enough`.
            clock_part: Part of the time left; None for the same as of the steps.
        """
        until = self.budget.steps + self.budget.left * part
        clock = self.budget.clock_left * (1 - (part if clock_part is None else clock_part))
        size, idle, sign = FEWEST_FREED, 0, aim_named(name).sign
        rank = self._rank(self.rows)
        place = self.names.index(name)
        while self._has_left(until, clock) and idle < PATIENCE:
            if rank[place] == sign * enough:
                return
            found = self._replace(name, self._pick(name, size))
            fresh = None if found is None else self._rank(found)
            gain = 0
            if found is not None and fresh is not None:
                now, before = self._until(place, fresh), self._until(place, rank)
                gain = (now > before) - (now < before)
                if gain >= 0:
                    self.adopt(found)
                    rank = fresh
            better = gain > 0
            if better:
                note(sign * rank[place], enough)
            idle = 0 if better else idle + 1
            if idle and idle % 10 == 0:
                size = min(MOST_FREED, size + 2)

    def _until(self, place: int, rank: tuple[int, ...]) -> tuple[int, ...]:
        """Leave out days and evenings until their turn has come.

        Plans that are as good in all else are then taken as if there were no such aims, so these
        cost no better plan that is found from one of them.
        """
        return tuple(
            value
            for n, (name, value) in enumerate(zip(self.names, rank, strict=True))
            if n <= place or not aim_named(name).is_of_week
        )

    def _has_left(self, until: float, clock: float) -> bool:
        budget = self.budget
        if budget.clock_left <= clock:
            budget.is_cut = True
        return budget.steps < until and budget.left > 0 and budget.clock_left > clock

    def _rank(self, rows: Collection[int]) -> tuple[int, ...]:
        return self.worth.rank(self._slots(rows))

    def _slots(self, rows: Collection[int]) -> list[int]:
        return sorted(self.slot_of[sorted(rows)].tolist())

    def _pick(self, name: str, size: int) -> list[int]:
        """Choose asks to free: one that could do better, and those who hold places it could have.

        Whole squads are freed, so that a squad's sessions can move together.
        """
        if aim_named(name).seeks is Seeks.OPEN:
            return self._pick_evenings(name, size)
        seed = self._seed(name)
        rows = self._index.of_ask(seed)
        freed = list(self._squads[self.terrain.problem.asks[seed].squad])
        columns = self.candidates
        for _ in range(4):
            if not len(rows) or len(freed) >= size:
                break
            row = int(rows[self._chance.randrange(len(rows))])
            pitch, day = self.terrain.pitch[columns.ground[row]], columns.day[row]
            near = [
                int(columns.ask[other])
                for other in sorted(self.rows)
                if columns.day[other] == day and self.terrain.pitch[columns.ground[other]] == pitch
            ]
            self._chance.shuffle(near)
            for number in near:
                own = self._squads[self.terrain.problem.asks[number].squad]
                if number not in freed and len(freed) + len(own) <= size:
                    freed += own
        return sorted(freed)

    def _pick_evenings(self, name: str, size: int) -> list[int]:
        """Choose everybody on some evenings of pitches that a refused ask could have, and others.

        Those are refused as well, so that who is there can change altogether.
        """
        seed, columns = self._seed(name), self.candidates
        own = self._index.of_ask(seed)
        places = sorted(set(zip(self._pitch[own].tolist(), columns.day[own].tolist(), strict=True)))
        chosen = set(self._chance.sample(places, min(len(places), size // EVENING_SIZE)))
        rows = sorted(self.rows)
        there = zip(self._pitch[rows].tolist(), columns.day[rows].tolist(), strict=True)
        freed = {int(columns.ask[row]) for row, at in zip(rows, there, strict=True) if at in chosen}
        others = [number for number in self._open() if number != seed]
        return sorted({seed, *freed, *self._chance.sample(others, min(size, len(others)))})

    def _open(self) -> list[int]:
        """List the asks that miss a session and could have one by themselves."""
        asks = self.terrain.problem.asks
        placed = np.bincount(self.candidates.ask[sorted(self.rows)], minlength=len(asks))
        return [n for n, ask in enumerate(asks) if placed[n] < ask.sessions and self.best[n] > 0]

    def _seed(self, name: str) -> int:
        """Choose an ask that the aim is about: one that misses sessions, or is badly off."""
        asks = self.terrain.problem.asks
        rows = sorted(self.rows)
        score = np.zeros(len(asks), dtype=np.int64)
        np.add.at(score, self.candidates.ask[rows], self.candidates.score[rows])
        seeks = aim_named(name).seeks
        open_ = self._open() if seeks is Seeks.OPEN else []
        if open_:
            return self._chance.choice(open_)
        short = [n for n in range(len(asks)) if score[n] < self.best[n]]
        near = self.worth.asks_in_the_way(name, self._slots(self.rows))
        if near and self._chance.random() < 0.8:
            return self._chance.choice(near)
        if seeks is Seeks.BADLY_OFF and short:
            short.sort(key=lambda n: score[n] / self.best[n] + asks[n].past / 100)
            return short[min(len(short) - 1, int(self._chance.expovariate(0.3)))]
        if short and self._chance.random() < 0.8:
            return self._chance.choice(short)
        return self._chance.randrange(len(asks))

    def _replace(self, name: str, free: Sequence[int]) -> set[int] | None:
        """Place some asks anew, everyone else staying; None when nothing was found."""
        own = {row for row in self.rows if int(self.candidates.ask[row]) in set(free)}
        fixed = self.candidates.take(np.array(sorted(self.rows - own), dtype=np.int64))
        blocked = self._blocked
        for row in own:
            blocked[self._index.in_the_way(row)] -= 1
        rows = np.concatenate([self._index.of_ask(number) for number in free])
        rows = rows[(blocked[rows] == 0) | (self.candidates.session[rows] >= 0)]
        for row in own:
            blocked[self._index.in_the_way(row)] += 1
        rows = rows[~too_many(self.terrain, self.candidates.take(rows), fixed)]
        rows = np.unique(np.concatenate([rows, np.array(sorted(own), dtype=np.int64)]))
        if not len(rows):
            return None
        return self._solve(name, free, rows, own, fixed)

    def _solve(
        self,
        name: str,
        free: Sequence[int],
        rows: NDArray[np.int64],
        own: Collection[int],
        fixed: Candidates,
    ) -> set[int] | None:
        part = self.candidates.take(rows)
        slots = merge(self.terrain, part, self._weights)
        squads = {self.terrain.problem.asks[number].squad for number in free}
        share = ShareModel(self.terrain, slots, self.best, part, squads, fixed)
        for place in sorted(slots.by_pitch_and_day()):
            share.add_detail(*place)
        hint = {
            slot
            for slot, members in enumerate(slots.rows)
            if any(int(rows[member]) in own for member in members)
        }
        self._ask_for(share, name, own, squads)
        solver = new_solver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = self.budget.effort.seed
        solver.parameters.linearization_level = 2
        solver.parameters.max_deterministic_time = STEPS_EACH
        solver.parameters.max_time_in_seconds = max(0.05, self.budget.clock_left)
        for slot, variable in enumerate(share.chosen):
            share.model.add_hint(variable, slot in hint)
        with self.budget.brake.holding(solver):
            status = solver.solve(share.model)
        self.budget.is_cut |= was_cut(solver, status, STEPS_EACH)
        built = TRY_STEPS + ROW_STEPS * len(rows)
        self.budget.steps += built + float(solver.response_proto.deterministic_time)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        plan = [slot for slot, item in enumerate(share.chosen) if solver.boolean_value(item)]
        picks, failed = lay_out(self.terrain, slots, plan)
        if failed:
            return None
        fresh = {int(rows[slots.rows[slot][pick]]) for slot, pick in picks.items()}
        return (self.rows - set(own)) | fresh

    def _ask_for(
        self, share: ShareModel, name: str, own: Collection[int], squads: Collection[str]
    ) -> None:
        """Hold the aims before one to what the freed squads have now, and go for that one."""
        values = self._own_values(own, squads)
        for earlier in self.names[: self.names.index(name)]:
            aim_named(earlier).keep(share, values[earlier])
        goal = aim_named(name).sign * share.aim(name)
        if self.names.index(name) < self.names.index(WISHES):
            goal = cp_model.LinearExpr.sum([TIE * goal, share.aim(WISHES)])
        share.model.maximize(goal)

    def _own_values(self, own: Collection[int], squads: Collection[str]) -> dict[str, int]:
        """Measure the freed squads by themselves; what is no sum of squads is of all."""
        values = self.worth.values(self._slots(own))
        others = sum(short for squad, short in self._nothing.items() if squad not in squads)
        values[FAIRNESS] -= others
        whole = self.worth.values(self._slots(self.rows))
        are_sums = {name: aim_named(name).over is Over.SUM for name in whole}
        return values | {name: whole[name] for name in whole if not are_sums[name]}
