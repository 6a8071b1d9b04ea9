"""Long lists taken in parts."""

from __future__ import annotations

import pytest

from clubplanner.store.chunks import AT_ONCE, chunks_of


@pytest.mark.parametrize("count", [0, 1, AT_ONCE - 1, AT_ONCE, AT_ONCE + 1, 3 * AT_ONCE])
def test_every_value_comes_once_in_its_order_and_never_too_many(count: int) -> None:
    """Whatever the length: none is lost at an end, none comes twice."""
    parts = list(chunks_of(range(count)))
    assert [value for part in parts for value in part] == list(range(count))
    assert all(0 < len(part) <= AT_ONCE for part in parts)
