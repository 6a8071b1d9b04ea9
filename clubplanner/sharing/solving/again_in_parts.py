"""Sharing out again what is too large for one model: only what is near the change may move.

The plan that stands keeps whatever can stand. Round those who lost their place, or are new, some
pitches are looked at together, with everybody on them; all else that concerns these is pinned
(`sharing/parts/cutting.py`), so that such a part is a re-share by itself. What is still open or was
disturbed is then looked at again, on other pitches. It is done in the process that calls: a part is
small whatever the whole is.

A part proves nothing of the whole. That all are placed, and that nobody is disturbed, is its own
proof, and how far those at least move who are hit is added up from each by itself.
"""

from __future__ import annotations

import random
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.again.carried import most_carried
from clubplanner.sharing.again.moves import list_moves
from clubplanner.sharing.again.reshare import Reshared
from clubplanner.sharing.again.reshare_work import NAMES, Work
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.aim_book import aims_of
from clubplanner.sharing.parts.cutting import Cutter, plan_of
from clubplanner.sharing.parts.near import Neighbourhoods
from clubplanner.sharing.parts.whole import Whole
from clubplanner.sharing.places.displacement import displacement, lost_points, move_points
from clubplanner.sharing.places.listing import ask_candidates
from clubplanner.sharing.places.placements import placement_of, with_lost_dates
from clubplanner.sharing.reasons.reasons import contradictions
from clubplanner.sharing.solving.kept import could_not_stand, sound_part
from clubplanner.sharing.solving.sizes import places_within
from clubplanner.sharing.solving.solve import kind_of, outcome_of
from clubplanner.sharing.values.budget import Budget
from clubplanner.sharing.values.levels import PLACING
from clubplanner.sharing.values.outcome import Kind, Level, Progress
from clubplanner.sharing.values.problem import on_pitches

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.parts.looking import Look
    from clubplanner.sharing.values.brake import Brake
    from clubplanner.sharing.values.problem import Effort, Placement, Problem

NEAR_PLACES = 4_000
"""What is looked at together has no more places, as long as one pitch alone has not."""
ROUND_PART = 0.3
"""Part of the steps and seconds left that one look may have."""
LEAST_ROUND_S = 2.0
"""Seconds that it may have at least, where there are as many."""
PATIENCE = 6
"""So many looks in a row without a better plan end the work."""
MOST_SEEDS, MOST_LATER = 24, 6
"""So many asks at a time are what the first look is about, and each later one."""


class AgainInParts:
    """Works on a re-share look by look.

    Attributes:
        whole: The plan.
        hit: Keys of squads that lose a place whatever is done.
    """

    def __init__(
        self,
        terrain: Terrain,
        look: Look,
        standing: Sequence[Placement],
        budget: Budget,
        known_most: int | None = None,
    ) -> None:
        problem = terrain.problem
        self._terrain, self._look, self._budget = terrain, look, budget
        self._squads = {ask.key: ask.squad for ask in problem.asks}
        self._numbers = {ask.key: n for n, ask in enumerate(problem.asks)}
        known = [item for item in standing if item.ask in self._squads]
        self._standing = with_lost_dates(terrain, known)
        self._lost = could_not_stand(terrain, self._standing)
        self.hit = {self._squads[item.ask] for item in self._lost}
        stays = [item for item in self._standing if item not in set(self._lost)]
        self.whole = Whole(terrain, look, sound_part(problem, stays))
        self._cutter = Cutter(problem, look.best.tolist())
        self._near = Neighbourhoods(self.whole, budget.effort.seed)
        self._chance = random.Random(budget.effort.seed)  # noqa: S311 - a search, nothing secret
        self._pitch = {g.key: terrain.pitches.index(g.pitch) for g in problem.grounds}
        venues = {g.pitch: g.venue for g in problem.grounds}
        self._venue = [venues[pitch] for pitch in terrain.pitches]
        self._most_rows = min(NEAR_PLACES, places_within(budget.effort.memory_mb))
        self._least: int | None = None
        alone = self.whole.most()[PLACING]
        self._most = alone if known_most is None else min(alone, known_most)
        self._values = self.values()

    def run(self, tell: Callable[[], None]) -> None:
        """Look at what is open or disturbed until nothing is, or nothing is found any more.

        Args:
            tell: Called after each look.
        """
        idle, count = 0, 0
        while idle < PATIENCE:
            seeds = self._seeds(count)
            if not seeds or not self._has_time():
                break
            is_better = self._look_at(seeds, is_first=count == 0)
            idle, count = 0 if is_better else idle + 1, count + 1
            tell()

    def values(self) -> tuple[int, int, int]:
        """Compute points, squads disturbed, and how far sessions move."""
        plan = self.whole.sessions()
        way = displacement(self._terrain.problem, self._standing, plan)
        return self.whole.values[PLACING], len(self.disturbed()), way

    def disturbed(self) -> set[str]:
        """Name the squads that could have stayed and do not."""
        there = {_place(item) for own in self.whole.plan.values() for item in own}
        moved = {self._squads[i.ask] for i in self._standing if _place(i) not in there}
        return moved - self.hit

    def levels(self) -> list[Level]:
        """Say how far the plan is on each aim, and what is proved."""
        points, disturbed, way = self.values()
        most = self.whole.most()
        bounds = max(points, self._most), 0, min(way, self._least_way())
        levels = [
            Level(name, value, bound, value == bound, abs(bound - value) / max(1, abs(value)))
            for name, value, bound in zip(NAMES, (points, disturbed, way), bounds, strict=True)
        ]
        week = [aim.name for aim in aims_of(self._terrain.problem) if aim.is_of_week]
        return levels + [self.whole.level(name, most[name]) for name in week]

    def _seeds(self, count: int) -> list[int]:
        """Choose the asks that a look is about: first who lost a place or is new, then others."""
        lost = {item.ask for item in self._lost}
        stood = {item.ask for item in self._standing}
        open_ = self._near.open_asks()
        keys = [ask.key for ask in self._terrain.problem.asks]
        fresh = [n for n in open_ if keys[n] in lost or keys[n] not in stood]
        if count == 0 and fresh:
            return fresh[:MOST_SEEDS]
        moved = self.disturbed()
        back = [n for n, key in enumerate(keys) if self._squads[key] in moved]
        far = [n for n, key in enumerate(keys) if key in lost]
        groups = [group for group in (open_, back, far) if group]
        if not groups or self._is_all_proved():
            return []
        group = groups[count % len(groups)]
        return self._chance.sample(group, min(len(group), MOST_LATER))

    def _is_all_proved(self) -> bool:
        points, disturbed, way = self.values()
        is_least = disturbed == 0 and way <= self._least_way()
        return is_least and points >= self._most

    def _look_at(self, seeds: Sequence[int], *, is_first: bool) -> bool:
        """Share out again round some asks; return whether the plan is better for it."""
        pitches, free = self._round(seeds, is_first=is_first)
        if not pitches:
            return False
        part = self._cutter.cut(self.whole.plan, pitches, free)
        keys = {ask.key for ask in part.problem.asks}
        own = [item for item in self._standing if item.ask in keys]
        budget = self._part_of_budget()
        terrain = survey(self._with_old_ground(part.problem, own))
        work = Work(terrain, own, budget, None, pitches=part.pitches)
        work.run()
        self._budget.steps += budget.steps
        self._budget.is_cut |= budget.is_cut
        return self._take(work.placements(work.plan), part.free)

    def _with_old_ground(self, part: Problem, standing: Collection[Placement]) -> Problem:
        """Return a part's problem that also knows the pitches where its squads stood."""
        known = {ground.pitch for ground in part.grounds}
        known |= {self._terrain.pitches[self._pitch[item.ground]] for item in standing}
        wider = on_pitches(self._terrain.problem, known)
        return replace(wider, asks=part.asks, pairs=part.pairs)

    def _part_of_budget(self) -> Budget:
        """Return a budget of its own for a look, with the same brake."""
        effort, left = self._budget.effort, self._budget.left / max(1e-9, self._budget.all_steps)
        seconds = ROUND_PART * min(left * effort.seconds, self._budget.clock_left)
        seconds = max(seconds, min(LEAST_ROUND_S, self._budget.clock_left))
        return Budget(replace(effort, seconds=seconds), brake=self._budget.brake)

    def _round(self, seeds: Sequence[int], *, is_first: bool) -> tuple[list[str], list[str]]:
        """Choose pitches round some asks, and everybody on them.

        Returns:
            Keys of the pitches and of the asks.
        """
        places, asks = self._look.places, self._terrain.problem.asks
        could = (places[list(seeds)] > 0).sum(axis=0).astype(np.float64)
        likes = could.copy()
        for item in self._standing:
            if self._numbers[item.ask] in seeds:
                old = self._pitch[item.ground]
                likes[old] += len(seeds)
                at_venue = [venue == self._venue[old] for venue in self._venue]
                likes[at_venue] += could[at_venue] / len(seeds)
        if not is_first:  # other pitches than before
            likes *= [self._chance.uniform(0.2, 1.0) for _ in self._venue]
        on_pitch: dict[int, set[int]] = {}
        for key, own in self.whole.plan.items():
            for item in own:
                on_pitch.setdefault(self._pitch[item.ground], set()).add(self._numbers[key])
        pitches: list[int] = []
        free = set(seeds)
        for pitch in np.argsort(-likes, kind="stable").tolist():
            if could[pitch] == 0 and not on_pitch.get(pitch, set()) & free:
                continue
            wider = free | on_pitch.get(pitch, set())
            rows = int(places[np.ix_(sorted(wider), [*pitches, pitch])].sum())
            if rows <= self._most_rows or not pitches:
                pitches.append(pitch)
                free = wider
            elif rows > 2 * self._most_rows:
                break
        return [self._terrain.pitches[n] for n in pitches], [asks[n].key for n in sorted(free)]

    def _take(self, placements: Collection[Placement], free: Collection[str]) -> bool:
        """Take the sessions of some asks over where the plan is better for it."""
        old, old_values = self.whole.plan, self.whole.values
        fresh = plan_of([item for item in placements if item.ask in free])
        self.whole.plan = {key: own for key, own in old.items() if key not in free} | fresh
        self.whole.values = self.whole.measure(self.whole.plan)
        found = self.values()
        if _rank(found) > _rank(self._values):
            self._values = found
            return True
        self.whole.plan, self.whole.values = old, old_values
        return False

    def _least_way(self) -> int:
        """Add up how far each session that lost its place moves at least."""
        if self._least is None:
            self._least = sum(map(self._nearest, self._lost))
        return self._least

    def _nearest(self, item: Placement) -> int:
        terrain, problem = self._terrain, self._terrain.problem
        number = self._numbers[item.ask]
        rows = ask_candidates(terrain, problem.asks[number], number, keep_all=True)
        grounds = {ground.key: ground for ground in problem.grounds}
        ways = (
            move_points(problem, grounds, item, placement_of(terrain, rows, row, 0))
            for row in range(len(rows))
        )
        pinned = (move_points(problem, grounds, item, pin) for pin in problem.asks[number].pinned)
        return min([*ways, *pinned, lost_points(problem)])

    def _has_time(self) -> bool:
        if self._budget.clock_left <= 0:
            self._budget.is_cut = True
        return self._budget.left > 0 and self._budget.clock_left > 0


def reshare_in_parts(
    problem: Problem,
    standing: Sequence[Placement],
    terrain: Terrain,
    look: Look,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None,
    brake: Brake,
    on_plan: Callable[[tuple[Placement, ...]], None] | None = None,
    known_most: int | None = None,
) -> Reshared:
    """Share out again a problem that is too large for one model; see `reshare`.

    Args:
        problem: The problem as it was.
        standing: The plan that stands.
        terrain: The altered problem's columns.
        look: What each ask of it could have.
        effort: How hard to try.
        on_progress: Told after each look; what it raises ends the search.
        brake: Ends the search early and keeps the best plan found so far.
        on_plan: Given what can stand of the plan, and the best one after each look.
        known_most: As for `reshare`.
    """
    budget = Budget(effort, brake=brake)
    altered = terrain.problem
    against = contradictions(terrain)
    if against:
        outcome = outcome_of(terrain, budget, Kind.IMPOSSIBLE, contradictions=against)
        return Reshared(altered, outcome, (), (), ())
    most = None if known_most is None else most_carried(problem, altered, known_most)
    work = AgainInParts(terrain, look, standing, budget, most)

    def tell() -> None:
        first, count = work.levels()[0], len(NAMES)
        if on_progress is not None:
            used = min(1.0, budget.steps / budget.all_steps)
            on_progress(Progress(1, count, first.value, first.bound, used, first.name))
        if on_plan is not None:
            on_plan(work.whole.sessions())

    tell()
    work.run(tell)
    plan, levels = work.whole.sessions(), work.levels()
    kind = kind_of(levels, len(levels))
    outcome = outcome_of(terrain, budget, kind, plan, levels, look.best)
    order = list(dict.fromkeys(ask.squad for ask in altered.asks))
    disturbed = work.disturbed()
    return Reshared(
        problem=altered,
        outcome=outcome,
        hit=tuple(squad for squad in order if squad in work.hit),
        disturbed=tuple(squad for squad in order if squad in disturbed),
        moves=list_moves(problem, altered, standing, plan),
    )


def _place(item: Placement) -> tuple[str, str, int, int, int]:
    return item.ask, item.ground, item.day, item.start_min, item.end_min


def _rank(values: tuple[int, int, int]) -> tuple[int, int, int]:
    points, disturbed, way = values
    return points, -disturbed, -way
