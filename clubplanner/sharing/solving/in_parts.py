"""A share-out too large for one model: parts in processes of their own, one plan of the whole.

Which process is done first is chance, and decides nothing: parts are cut, and what comes of them is
taken into the plan, in the order of their numbers, a few ahead of what is known. So the same again
gives the same plan where the search's own steps end it; where the clock does, it may not, and
`is_repeatable` says so.
"""

from __future__ import annotations

import logging
from collections import deque
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.parts.allotting import allot
from clubplanner.sharing.parts.bounds import bounds_of_whole
from clubplanner.sharing.parts.cutting import Cutter
from clubplanner.sharing.parts.near import Neighbourhoods
from clubplanner.sharing.parts.pieces import Piece, find_pieces, gather_pitches
from clubplanner.sharing.parts.whole import Whole, most_alone
from clubplanner.sharing.reasons.reasons import contradictions
from clubplanner.sharing.solving.crew import Crew
from clubplanner.sharing.solving.kept import outcome_of_whole, sound_part
from clubplanner.sharing.solving.sizes import hand_mb, hands, places_within, quick_places_within
from clubplanner.sharing.solving.solve import outcome_of
from clubplanner.sharing.values.budget import SEARCH_PART, STEPS_A_SECOND, Budget
from clubplanner.sharing.values.levels import PLACING
from clubplanner.sharing.values.outcome import CutShort, Kind, Progress

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.parts.cutting import Part
    from clubplanner.sharing.parts.looking import Look
    from clubplanner.sharing.solving.crew import Report
    from clubplanner.sharing.values.brake import Brake
    from clubplanner.sharing.values.outcome import Level, Outcome
    from clubplanner.sharing.values.problem import Effort, Placement

LOG = logging.getLogger("clubplanner.sharing")
FIRST_PART = 0.45
"""Part of the time in which every part is worked on once."""
PLACING_PART = 0.65
"""Part of the time then left in which placing is bettered; the aims after it share the rest."""
LEAST_FIRST_S, LEAST_NEAR_S, MOST_NEAR_S = 3.0, 4.0, 12.0
"""Seconds that one part may have the first time, and that a neighbourhood may."""
NEAR_PART = 0.1
"""Part of the whole time that one neighbourhood may have."""
NEAR_PLACES = 12_000
"""A neighbourhood has no more places: small ones gained twice as much in a processor's second."""
PATIENCE = 40
"""So many neighbourhoods in a row without a better plan end the work on an aim."""
MOST_DEATHS = 4
"""So many processes that died, with nothing done in between, end the work."""
FEWEST_PLACES = 1_000
"""No part is made smaller than this."""
AHEAD = 1
"""So many parts more than there are processes are cut before the first of them is known."""
FIRST_SLACK = 0.9
"""Part of its time that the first work on parts is planned with; looking at the problem has the
rest."""
WAIT_S = 0.2
"""How often the brake and the clock are looked at."""


@dataclass(slots=True)
class _Task:
    """A part that is given, or to be given, to a process.

    Attributes:
        asks: Numbers of the asks that it may move.
        pitches: Numbers of its pitches.
        seconds: How long it may take.
        piece: Number of the piece that it is the whole of; None for a lesser part.
        is_second: Whether a process has died over it already.
        aims: How many aims it works on; None for all.
    """

    asks: tuple[int, ...]
    pitches: tuple[int, ...]
    seconds: float
    piece: int | None = None
    is_second: bool = False
    aims: int | None = None


class InParts:
    """Works on a problem part by part.

    Attributes:
        whole: The plan.
        cut_short: What ended the work before its time, if anything.
    """

    def __init__(
        self,
        terrain: Terrain,
        look: Look,
        budget: Budget,
        on_progress: Callable[[Progress], None] | None,
        start: Sequence[Placement] = (),
    ) -> None:
        self.whole = Whole(terrain, look, start)
        self.cut_short = CutShort.NO
        self._terrain, self._look, self._budget = terrain, look, budget
        self._on_progress = on_progress
        effort = budget.effort
        self._cutter = Cutter(terrain.problem, look.best.tolist())
        self._near = Neighbourhoods(self.whole, effort.seed)
        self._pieces = find_pieces(terrain, look)
        self._levels: list[Sequence[Level]] = [()] * len(self._pieces)
        self._open = {n for n, piece in enumerate(self._pieces) if piece.pitches}
        self._most_rows = places_within(hand_mb(effort))
        self._most_quick = quick_places_within(hand_mb(effort))
        self._crew = Crew(hands(effort), hand_mb(effort))
        self._given: dict[int, tuple[_Task, Part]] = {}
        self._queue: deque[tuple[int, Part, Effort]] = deque()
        self._early: dict[int, Report] = {}
        self._most_given = hands(effort) + AHEAD
        self._all_steps = effort.seconds * SEARCH_PART * STEPS_A_SECOND * hands(effort)
        self._steps = 0.0
        self._deaths, self._death = 0, CutShort.NO
        self._has_lost = False
        self._count = 0
        self._idle = 0

    def run(self) -> None:
        """Work on every part once, then on those that could do better, as long as there is time."""
        names = self.whole.names
        try:
            self._work_through(deque(self._first_tasks()))
            for number, name in enumerate(names):
                part = PLACING_PART if name == PLACING else 1 / (len(names) - number)
                left, steps = self._budget.clock_left, self._steps_left
                self._better(name, (1 - part) * left, (1 - part) * steps)
        finally:
            self._crew.close()
        if self._deaths:  # nothing was done since
            self.cut_short = self._death

    @property
    def is_repeatable(self) -> bool:
        """Whether the same again gives the same plan: nothing was ended but by its own steps."""
        return not (self._budget.is_cut or self._has_lost or self.cut_short is not CutShort.NO)

    @property
    def _steps_left(self) -> float:
        return max(0.0, self._all_steps - self._steps)

    def levels(self) -> list[Level]:
        """Say how far the plan is on each aim, and what is proved."""
        alone = [most_alone(self._terrain, self._look, piece.asks) for piece in self._pieces]
        pieces = list(zip(self._levels, alone, strict=True))
        names = self.whole.names
        bounds = bounds_of_whole(names, pieces, self.whole.values)
        return [self.whole.level(name, bounds[name]) for name in names]

    def _first_tasks(self) -> list[_Task]:
        """Cut every piece into parts that a process can hold: whole ones first, the largest first.

        What is too large to be worked on whole gets a quick plan only; it is bettered afterwards.
        """
        tasks: list[_Task] = []
        for number, piece in enumerate(self._pieces):
            rows = self._rows(piece.asks, piece.pitches) if piece.pitches else 0
            if not piece.pitches:
                continue
            if rows <= self._most_rows:
                tasks.append(_Task(piece.asks, piece.pitches, 0.0, number))
            elif rows <= self._most_quick:
                tasks.append(_Task(piece.asks, piece.pitches, 0.0, aims=0))
            else:
                tasks += self._tasks_of_groups(piece)
        sizes = [max(1, self._rows(task.asks, task.pitches)) for task in tasks]
        part = FIRST_PART if any(task.piece is None for task in tasks) else 1.0
        planned = FIRST_SLACK * SEARCH_PART * self._budget.effort.seconds
        time = part * self._within_clock(planned) * hands(self._budget.effort)
        for task, size in zip(tasks, sizes, strict=True):
            task.seconds = min(planned, max(LEAST_FIRST_S, time * size / sum(sizes)))
        order = sorted(range(len(tasks)), key=lambda n: (tasks[n].piece is None, -sizes[n]))
        return [tasks[n] for n in order]

    def _tasks_of_groups(self, piece: Piece) -> list[_Task]:
        groups = gather_pitches(self._terrain, self._look, piece, self._most_rows)
        given = allot(self._terrain, self._look, piece, groups)
        found = zip(groups, given, strict=True)
        return [_Task(asks, pitches, 0.0, aims=0) for pitches, asks in found if asks]

    def _rows(self, asks: Sequence[int], pitches: Sequence[int]) -> int:
        return int(self._look.places[np.ix_(list(asks), list(pitches))].sum())

    def _work_through(self, waiting: deque[_Task]) -> None:
        """Work on parts that have no pitch and no squad in common, all of them once."""
        while waiting or self._given:
            while waiting and len(self._given) < self._most_given:
                self._give(waiting.popleft())
            report = self._next_report()
            if report is None:
                break
            waiting.extendleft(self._hear(report, PLACING))
        self._let_end(PLACING)

    def _better(self, name: str, until: float, until_steps: float) -> None:
        """Look again at what could do better on an aim, until so many seconds or steps are left.

        Where every piece was worked on whole, and to its end, there is nothing to look at again.
        """
        self._idle = 0
        waiting: deque[_Task] = deque()
        while self._open and self._idle < PATIENCE and self._steps_left > until_steps:
            if self._budget.clock_left <= until:
                self._budget.is_cut = True
                break
            if next(one for one in self.levels() if one.name == name).is_proved:
                break
            while len(self._given) < self._most_given:
                task = waiting.popleft() if waiting else self._near_task(name)
                if task is None:
                    break
                self._give(task)
            report = self._next_report()
            if report is None:
                break
            waiting.extend(self._hear(report, name))
        self._let_end(name)

    def _next_report(self) -> Report | None:
        """Wait for what comes of the part that was given first; None for none, or when over."""
        while self._given and not self._is_over:
            while self._queue and self._crew.is_free:
                self._crew.give(*self._queue.popleft())
            first = next(iter(self._given))
            if first in self._early:
                return self._early.pop(first)
            self._early |= {report.number: report for report in self._crew.reports(WAIT_S)}
        return None

    def _near_task(self, name: str) -> _Task | None:
        tasks = [task for task, _part in self._given.values()]
        pitches = {self._terrain.pitches[n] for task in tasks for n in task.pitches}
        free = {self._terrain.problem.asks[n].key for task in tasks for n in task.asks}
        persons = self._cutter.persons_of(free)
        busy = {
            ask.key
            for ask in self._terrain.problem.asks
            if ("squad", ask.squad) in persons or ("coach", ask.coach or "") in persons
        }
        most = min(NEAR_PLACES, self._most_rows)
        near = self._near.choose(name, most, pitches, busy)
        if near is None:
            return None
        seconds = min(MOST_NEAR_S, max(LEAST_NEAR_S, NEAR_PART * self._budget.effort.seconds))
        return _Task(
            tuple(n for n, ask in enumerate(self._terrain.problem.asks) if ask.key in near.free),
            tuple(n for n, key in enumerate(self._terrain.pitches) if key in near.pitches),
            seconds,
            aims=1 if name == PLACING else None,
        )

    def _give(self, task: _Task) -> None:
        asks = [self._terrain.problem.asks[n].key for n in task.asks]
        pitches = [self._terrain.pitches[n] for n in task.pitches]
        is_exact = task.piece is not None
        part = self._cutter.cut(self.whole.plan, pitches, asks, task.aims, is_exact=is_exact)
        seconds = max(1.0, self._within_clock(task.seconds)) / SEARCH_PART
        self._count += 1
        self._given[self._count] = task, part
        seed = (self._budget.effort.seed + self._count) % 2**31
        effort = replace(self._budget.effort, seconds=seconds, workers=1, seed=seed)
        self._queue.append((self._count, part, effort))

    def _within_clock(self, seconds: float) -> float:
        """Return what the clock leaves of some seconds; where that is less, it decides."""
        left = self._budget.clock_left
        self._budget.is_cut |= left < seconds
        return min(left, seconds)

    def _hear(self, report: Report, name: str) -> list[_Task]:
        """Take what came of a part into the plan.

        Returns:
            What is to be done instead, where it was too much.
        """
        task, part = self._given.pop(report.number)
        if report.fault:
            LOG.warning("a process that worked on a part of a share-out: %s", report.fault)
        self._has_lost |= report.done is None or report.is_full
        if report.done is None:
            self._deaths += 1
            self._death = CutShort.MEMORY if report.is_full else CutShort.PROCESS
            if self._deaths >= MOST_DEATHS:
                self.cut_short = self._death
            return self._instead(task, is_full=report.is_full)
        self._deaths = 0
        self._steps += report.done.steps
        self._budget.is_cut |= report.done.is_cut and not report.is_full
        is_better = self.whole.take(report.done.placements, part.free)
        self._idle = 0 if is_better else self._idle + 1
        if task.piece is not None and not report.is_full:
            self._levels[task.piece] = report.done.levels
            if not report.done.is_cut:
                self._open.discard(task.piece)
        self._tell(name)
        return []

    def _instead(self, task: _Task, *, is_full: bool) -> list[_Task]:
        """Cut a part in two over which a process has died twice, or had no memory left."""
        if not is_full and not task.is_second:
            task.is_second = True
            return [task]
        self._most_rows = max(FEWEST_PLACES, self._most_rows // 2)
        if len(task.pitches) < 2 or self._rows(task.asks, task.pitches) < FEWEST_PLACES:
            return []  # whoever goes without is looked at again, in smaller parts
        halves = [tuple(half.tolist()) for half in np.array_split(np.array(task.pitches), 2)]
        piece = Piece(task.asks, task.pitches)
        given = allot(self._terrain, self._look, piece, halves)
        return [
            _Task(asks, pitches, max(LEAST_FIRST_S, task.seconds / 2), aims=task.aims)
            for pitches, asks in zip(halves, given, strict=True)
            if asks
        ]

    def _let_end(self, name: str) -> None:
        """Wait for what is being worked on; stop it where the time is over."""
        while (report := self._next_report()) is not None:
            self._hear(report, name)
        if not self._given:
            return
        self._crew.stop()
        for number, *_part in self._queue:
            del self._given[number]
        self._queue.clear()
        while self._given:
            for number in [number for number in self._given if number in self._early]:
                self._hear(self._early.pop(number), name)
            if self._given:
                self._early |= {report.number: report for report in self._crew.reports(WAIT_S)}

    @property
    def _is_over(self) -> bool:
        if self._budget.clock_left <= 0:
            self._budget.is_cut = True
        return self._budget.clock_left <= 0 or self.cut_short is not CutShort.NO

    def _tell(self, name: str) -> None:
        if self._on_progress is None:
            return
        names = self.whole.names
        level = next(one for one in self.levels() if one.name == name)
        self._on_progress(
            Progress(
                names.index(name) + 1, len(names), level.value, level.bound, self._budget.used, name
            )
        )


def solve_in_parts(
    terrain: Terrain,
    look: Look,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None,
    brake: Brake,
    start: Sequence[Placement] = (),
) -> Outcome:
    """Share out a problem that is too large for one model; see `solve`.

    Args:
        terrain: The problem's columns.
        look: What each ask could have.
        effort: How hard to try; so many workers are so many processes.
        on_progress: Told of each better plan.
        brake: Ends the search early and keeps the best plan found so far.
        start: A plan to go on from; what of it is not possible any more is left out.
    """
    budget = Budget(effort, brake=brake)
    against = contradictions(terrain)
    if against:
        return outcome_of(terrain, budget, Kind.IMPOSSIBLE, contradictions=against)
    work = InParts(terrain, look, budget, on_progress, sound_part(terrain.problem, start))
    work.run()
    found = outcome_of_whole(work.whole, budget, work.levels(), work.cut_short)
    return replace(found, is_repeatable=work.is_repeatable and not start)
