"""Preferred times, as the share-out weighs them."""

from __future__ import annotations

import numpy as np
import pytest

from clubplanner.sharing import Window
from clubplanner.sharing.wishes.preferred_times import time_points
from tests.sharing.builders import make_ask

STARTS = np.array([1080, 1110, 1140], dtype=np.int64)


@pytest.mark.parametrize(
    ("preferred", "points"),
    [
        ((), [40, 40, 40]),
        ((Window(0, 1080, 1140),), [40, 20, 20]),
        ((Window(0, 1080, 1140), Window(0, 1140, 1200)), [40, 40, 40]),
        ((Window(1, 1080, 1140),), [0, 0, 0]),
    ],
)
def test_a_better_hour_has_more_points(preferred: tuple[Window, ...], points: list[int]) -> None:
    """Wholly within counts 40, the right day 20, another day nothing; touching windows are one."""
    assert time_points(make_ask(preferred=preferred), 0, STARTS).tolist() == points
