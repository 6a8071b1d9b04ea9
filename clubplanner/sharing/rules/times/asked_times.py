"""Asked times: a session starts on a step and lies wholly within the ask's possible windows.

There is no mask: other starts are never listed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.values.problem import merge_ranges
from clubplanner.sharing.values.words import listed, span

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.values.problem import Ask, Problem


def possible_starts(problem: Problem, ask: Ask, day: int) -> NDArray[np.int64]:
    """List the starts within an ask's possible windows of a day, in order."""
    raw = [(w.start_min, w.end_min) for w in ask.possible if w.day == day]
    found = {start for start, _ in raw}
    step = problem.step_minutes
    merged = merge_ranges(raw)
    for start, end in merged:
        found.update(range(-(-start // step) * step, end, step))
    starts = np.array(sorted(found), dtype=np.int64)
    fits = np.zeros(len(starts), dtype=bool)
    for start, end in merged:
        fits |= (starts >= start) & (starts + ask.minutes <= end)
    return starts[fits]


def times_in_words(problem: Problem, ask: Ask, days: Sequence[int]) -> str:
    """Write the possible times of some days, days with the same ones together."""
    by_times: dict[str, list[str]] = {}
    for day in days:
        ranges = merge_ranges([(w.start_min, w.end_min) for w in ask.possible if w.day == day])
        times = listed([span(start, end) for start, end in ranges], "or")
        by_times.setdefault(times, []).append(problem.days[day].name)
    return listed([f"{listed(names, 'or')} {times}" for times, names in by_times.items()], "or")
