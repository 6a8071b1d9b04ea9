"""Many stretches of time at once are what a plain count of seconds says."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.times.spans import join_spans, spans_of

PAIRS = st.lists(st.tuples(st.integers(0, 60), st.integers(-5, 20)).map(lambda p: (p[0], sum(p))))


def seconds(pairs: list[tuple[int, int]]) -> set[int]:
    """Return every second that lies in one of some stretches."""
    return {second for start, end in pairs for second in range(start, end)}


@given(PAIRS, PAIRS)
def test_what_lies_within_is_what_both_hold(
    pairs: list[tuple[int, int]], others: list[tuple[int, int]]
) -> None:
    """Second by second, for every stretch that is asked about."""
    spans = spans_of(pairs)
    asked = [(start, max(start, end)) for start, end in others]
    starts, ends = (np.array([p[n] for p in asked], dtype=np.int64) for n in (0, 1))
    assert spans.within(starts, ends).tolist() == [
        len(seconds(pairs) & set(range(*one))) for one in asked
    ]
    assert spans.seconds == len(seconds(pairs))


@given(PAIRS)
def test_joined_spans_are_in_order_and_apart(pairs: list[tuple[int, int]]) -> None:
    """They hold the same seconds, and none touches the next."""
    table = np.array(pairs, dtype=np.int64).reshape(-1, 2)
    spans = join_spans(table[:, 0], table[:, 1])
    joined = list(zip(spans.starts.tolist(), spans.ends.tolist(), strict=True))
    assert seconds(joined) == seconds(pairs)
    assert all(one[1] < other[0] for one, other in pairwise(joined))
