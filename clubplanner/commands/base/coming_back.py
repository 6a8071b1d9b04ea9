"""Sessions that had to go, as commands tell them."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from clubplanner.services.places.coming_back import Return


def returns_as_json(returns: Iterable[Return]) -> list[dict[str, object]]:
    """Return them for a program."""
    return [{**asdict(one), "starts_at": one.starts_at.isoformat()} for one in returns]


def return_line(one: Return) -> str:
    """Say who one is, whether it can come back, and where it is now."""
    can = "can come back" if one.can else "cannot come back"
    why = f" ({one.why})" if one.why else ""
    return f"  {one.number}  {one.holder}, {one.when}, {one.was}: {can}{why}; now {one.now}"
