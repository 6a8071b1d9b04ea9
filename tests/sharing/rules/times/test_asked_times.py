"""Asked times: which starts are looked at."""

from __future__ import annotations

import pytest

from clubplanner.sharing import Window
from clubplanner.sharing.rules.times.asked_times import possible_starts, times_in_words
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem


@pytest.mark.parametrize(
    ("windows", "starts"),
    [
        ([(1080, 1200)], [1080, 1110, 1140]),
        ([(1085, 1200)], [1085, 1110, 1140]),
        ([(1080, 1130), (1130, 1150)], [1080]),
        ([(1080, 1130), (1130, 1190)], [1080, 1110, 1130]),
        ([(1080, 1139)], []),
        ([(1080, 1140), (1200, 1260)], [1080, 1200]),
        ([], []),
    ],
)
def test_starts_are_steps_and_openings_of_windows(
    windows: list[tuple[int, int]], starts: list[int]
) -> None:
    """A session lies wholly in windows; those that touch are one."""
    ask = make_ask(possible=tuple(Window(0, start, end) for start, end in windows))
    problem = make_problem(make_pitch(), ask)
    assert possible_starts(problem, ask, 0).tolist() == starts


def test_days_with_the_same_times_are_told_together() -> None:
    """Monday and Wednesday alike, Tuesday by itself."""
    ask = make_ask(possible=(Window(0, 1080, 1200), Window(1, 1020, 1080), Window(2, 1080, 1200)))
    problem = make_problem(make_pitch(), ask, days=make_days(3))
    words = times_in_words(problem, ask, [0, 1, 2])
    assert words == "Monday or Wednesday 18:00–20:00 or Tuesday 17:00–18:00"
