"""What an ask could have alone, against all sets of days."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.sharing.places.alone import best_days
from clubplanner.sharing.rules.people.evenings_in_a_row import too_long_rows
from tests.sharing.builders import make_days

DAYS = make_days(7, weeks=2)


@given(
    worth=st.lists(st.sampled_from([0, 40, 60, 60, 90, 100]), min_size=7, max_size=7),
    sessions=st.integers(1, 7),
    rest_days=st.integers(0, 2),
    most=st.integers(1, 6),
)
@settings(max_examples=50, deadline=None)
def test_the_best_days_are_the_best_of_all_sets(
    worth: list[int], sessions: int, rest_days: int, most: int
) -> None:
    """Days too near to each other and too long rows are left out, and nothing else."""
    numbers = [[when.toordinal() for when in day.dates] for day in DAYS]
    apart = np.array([
        [min(abs(a - b) for a in one for b in other) for other in numbers] for one in numbers
    ])  # fmt: skip
    rows = too_long_rows(DAYS, most)
    best = 0
    for count in range(1, sessions + 1):
        for chosen in combinations(range(7), count):
            is_near = any(apart[a, b] <= rest_days for a, b in combinations(chosen, 2))
            if not is_near and not any(row <= set(chosen) for row in rows):
                best = max(best, sum(worth[day] for day in chosen))
    found = best_days(np.array(worth, dtype=np.int64), sessions, apart, rest_days, rows)
    assert found == best
