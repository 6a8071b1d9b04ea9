"""Long lists taken in parts: a statement holds only so many values, and so much at once in memory.

SQLite takes 32,766 values in one statement (https://www.sqlite.org/limits.html), PostgreSQL's
driver 65,535; a plan for a few hundred is still made at once.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

T = TypeVar("T")
AT_ONCE = 500


def chunks_of(values: Sequence[T], at_once: int = AT_ONCE) -> Iterator[Sequence[T]]:
    """Yield the values in their order, so many at once; nothing if there are none.

    Args:
        values: What goes into statements.
        at_once: How many at most, 1 or more.
    """
    for start in range(0, len(values), at_once):
        yield values[start : start + at_once]
