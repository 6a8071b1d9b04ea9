"""Forms that were sent already: each carries a token, and what it asked for is done once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import delete, select

from clubplanner.services.links import LONGEST_SECRET, hash_secret
from clubplanner.store.tables import SentFormRow

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.store.engine import Store

KEPT_HOURS = 24
LOST_SECONDS = 120
"""A form whose answer is not noted by then was lost with its server, and may be sent again."""


@dataclass(frozen=True, slots=True)
class Sent:
    """A form that came before.

    Attributes:
        answer: Where its answer led, or a blank for a page without an address; None while the
            first one is still at work.
    """

    answer: str | None


def claim_form(store: Store, token: str, now: datetime) -> Sent | None:
    """Claim a form for the one that sends it first.

    Args:
        store: The database.
        token: The form's own token.
        now: The present instant.

    Returns:
        None for the first, which now has to `note_answer` or `release_form`; else what became
        of it.
    """
    key = hash_secret(token[:LONGEST_SECRET])
    with store.write() as session:
        session.execute(
            delete(SentFormRow).where(SentFormRow.sent_at <= now - timedelta(hours=KEPT_HOURS))
        )
        row = session.scalars(select(SentFormRow).where(SentFormRow.token_hash == key)).first()
        if row is None:
            session.add(SentFormRow(token_hash=key, sent_at=now, answer=None))
            return None
        if row.answer is None and row.sent_at <= now - timedelta(seconds=LOST_SECONDS):
            row.sent_at = now
            return None
        return Sent(row.answer)


def note_answer(store: Store, token: str, answer: str) -> None:
    """Note where the answer to a form led; blank for a page without an address."""
    key = hash_secret(token[:LONGEST_SECRET])
    with store.write() as session:
        row = session.scalars(select(SentFormRow).where(SentFormRow.token_hash == key)).first()
        if row is not None:
            row.answer = answer


def release_form(store: Store, token: str) -> None:
    """Let a form be sent again, since nothing was done."""
    key = hash_secret(token[:LONGEST_SECRET])
    with store.write() as session:
        session.execute(delete(SentFormRow).where(SentFormRow.token_hash == key))


def find_answer(store: Store, token: str) -> Sent | None:
    """Return what became of a form by now; None if it was released."""
    key = hash_secret(token[:LONGEST_SECRET])
    with store.read() as session:
        row = session.scalars(select(SentFormRow).where(SentFormRow.token_hash == key)).first()
        return None if row is None else Sent(row.answer)
