"""Share-outs that were made name squads by their keys; they follow when keys change.

So what squads had goes on counting for them, an open share-out can still be published, and no
squad is taken for another one that has its key of before.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.store.tables.booking_tables import ShareOutRow

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session


def rename_in_share_outs(session: Session, keys: Mapping[str, str]) -> None:
    """Put new keys of squads where old ones stand, all at once.

    Args:
        session: The open write session.
        keys: New keys by those of before; squads may have changed keys among each other.
    """
    if not keys:
        return
    for row in session.scalars(select(ShareOutRow)):
        outcome = _renamed(row.outcome, keys)
        if outcome != row.outcome:
            row.outcome = outcome


def _renamed(value: Any, keys: Mapping[str, str]) -> Any:
    if isinstance(value, list):
        return [_renamed(entry, keys) for entry in value]
    if not isinstance(value, dict):
        return value
    return {name: _renamed_in(name, entry, keys) for name, entry in value.items()}


def _renamed_in(name: str, value: Any, keys: Mapping[str, str]) -> Any:
    if name == "squad" and isinstance(value, str):
        return keys.get(value, value)
    if name == "squads" and isinstance(value, list):
        return sorted(keys.get(one, one) if isinstance(one, str) else one for one in value)
    return _renamed(value, keys)
