"""Leaves of a list: where one ended is where the next begins, whatever is added meanwhile."""

from __future__ import annotations

import base64
import binascii
import json
from typing import TYPE_CHECKING, Any, TypeVar

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from clubplanner.webapp.api.frame.values import LeafQuery

_Item = TypeVar("_Item")

Key = tuple[int | str, ...]
"""By which a list is ordered: the same kinds for all of its things."""


def leaf_of(
    items: Iterable[_Item], key: Callable[[_Item], Key], query: LeafQuery, like: Sequence[type]
) -> tuple[list[_Item], str | None]:
    """Return one leaf of a list, and the cursor of the one after it; None if it is the last.

    Args:
        items: All of the list, in any order.
        key: By which it is ordered; no two have the same.
        query: Which leaf.
        like: The kinds of the parts of a key.

    Raises:
        FaultyInputError: If the cursor is none of this list.
    """
    after = read_cursor(query.cursor, like)
    rest = sorted(items, key=key)
    if after is not None:
        rest = [item for item in rest if key(item) > after]
    leaf = rest[: query.limit]
    return leaf, write_cursor(key(leaf[-1])) if len(rest) > len(leaf) else None


def write_cursor(key: Key) -> str:
    """Write a place in a list as a word for addresses."""
    return base64.urlsafe_b64encode(json.dumps(key).encode()).decode().rstrip("=")


def read_cursor(cursor: str, like: Sequence[type]) -> Key | None:
    """Return the place in a list that a cursor names; None for a blank one.

    Args:
        cursor: As `write_cursor` wrote it.
        like: The kinds of the parts of a key.

    Raises:
        FaultyInputError: If it is none of this list.
    """
    if not cursor:
        return None
    try:
        padded = cursor + "=" * (-len(cursor) % 4)
        found: Any = json.loads(base64.b64decode(padded, altchars=b"-_", validate=True))
    except (binascii.Error, ValueError, RecursionError):
        found = None
    if not isinstance(found, list) or [type(part) for part in found] != list(like):
        words = _("This cursor is none of this list; leave it out to begin anew.")
        raise FaultyInputError([Problem("cursor", "cursor", words)])
    return tuple(found)
