"""Long lists a leaf at a time, so that a page stays light however large the club is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, TypeVar

from flask import request, url_for

if TYPE_CHECKING:
    from collections.abc import Sequence

_Item = TypeVar("_Item")


@dataclass(frozen=True, slots=True)
class Leaf(Generic[_Item]):
    """A part of a list.

    Attributes:
        items: What is shown.
        first: Number of the first one, from 1.
        total: How many there are in all.
        before: Address of the leaf before; blank on the first.
        after: Address of the leaf after; blank on the last.
    """

    items: Sequence[_Item]
    first: int
    total: int
    before: str
    after: str

    @property
    def last(self) -> int:
        """Number of the last one shown."""
        return self.first + len(self.items) - 1


def leaf_through(
    items: Sequence[_Item], most: int, name: str = "from", *, start: int | None = None
) -> Leaf[_Item]:
    """Return the leaf of a list that the request asks for.

    Args:
        items: The whole list.
        most: How many a leaf holds.
        name: The part of the query that holds the number of the first one shown.
        start: Number of the first one shown, from 0, where that is decided already; else it is read
            from the query.
    """
    text = request.args.get(name, "1")
    wanted = int(text) - 1 if text.isdecimal() and len(text) < 8 else 0
    if start is not None:
        wanted = start
    start = min(max(0, wanted), max(0, len(items) - 1)) // most * most

    def address(first: int) -> str:
        query = {**request.args.to_dict(), name: str(first + 1)}
        query.pop("chosen", None)  # what was chosen lies on another leaf
        return url_for(request.endpoint or "", **{**(request.view_args or {}), **query})

    return Leaf(
        items=items[start : start + most],
        first=start + 1,
        total=len(items),
        before=address(start - most) if start else "",
        after=address(start + most) if start + most < len(items) else "",
    )
