"""What a message to another program says: a stretch of the journal, as the journal has it now."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from clubplanner.errors import MarkGoneError
from clubplanner.services.journal.since import happening_values, read_since

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.store.engine import Store

MOST_HAPPENINGS = 50
"""Of one message: the standard asks for small ones ("Payload size")."""
CHANGED, BEGUN_ANEW, TRIAL = "journal.changed", "journal.begun_anew", "webhook.trial"
"""Kinds of messages."""


def stretch_body(store: Store, from_mark: str, to_mark: str, made_at: datetime) -> bytes:
    """Return what a message about a stretch of the journal says.

    Args:
        store: The database.
        from_mark: After which mark it begins.
        to_mark: Up to which it tells.
        made_at: When the message was made, UTC.

    Returns:
        JSON, UTF-8: `type`, `timestamp` and `data` with the `mark` to follow from and what
        happened (`Happening`), in order; where that is no longer all there, the mark alone, and
        everything is to be read anew.
    """
    try:
        since = read_since(store, from_mark, count=MOST_HAPPENINGS, until=to_mark)
    except MarkGoneError as gone:
        return _body(BEGUN_ANEW, made_at, {"mark": to_mark, "why": str(gone)})
    happened = [happening_values(one) for one in since.happenings]
    at = since.happenings[-1].at if since.happenings else made_at
    return _body(CHANGED, at, {"mark": to_mark, "happenings": happened})


def trial_body(now: datetime) -> bytes:
    """Return what a message says that is sent to see whether one arrives."""
    return _body(TRIAL, now, {})


def _body(kind: str, at: datetime, data: dict[str, Any]) -> bytes:
    value = {"type": kind, "timestamp": at.isoformat(), "data": data}
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode()
