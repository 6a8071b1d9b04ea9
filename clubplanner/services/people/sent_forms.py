"""Forms that were sent already: each carries a token, and what it asked for is done once.

A form is claimed before its work, the work notes in its own transaction that it has begun
(`store/claims.py`), and its answer is noted after it. A server that dies in between leaves a claim:
with no work begun it lapses soon, and whoever claims the form then holds it alone, since the first
one, should it still live, can no longer write.

Neither claim nor answer waits for the disk: whatever of the work outlives a loss of power, the
claim before it does, too.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import delete, select

from clubplanner.services.addresses.links import LONGEST_SECRET, hash_secret
from clubplanner.store.claims import BEGUN, FormClaim
from clubplanner.store.tables.people_tables import SentFormRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

KEPT_HOURS = 24
LOST_SECONDS = 8
"""A form that has not begun its work by then may be claimed anew: its server is gone or so slow
that it does not matter which of two presses does it."""


@dataclass(frozen=True, slots=True)
class Sent:
    """A form that came before.

    Attributes:
        answer: Where its answer led, or a blank for a page without an address; None while the
            first one is still at work, or if it stopped before it could answer.
        has_begun: Whether some of its work is kept.
    """

    answer: str | None
    has_begun: bool = True


def claim_form(store: Store, token: str, now: datetime) -> FormClaim | Sent:
    """Claim a form for the one that sends it first.

    Args:
        store: The database.
        token: The form's own token.
        now: The present instant.

    Returns:
        A claim for the first, which now works with `store.claimed(claim)` and then has to
        `note_answer` or `release_form`; else what became of the form.
    """
    key = hash_secret(token[:LONGEST_SECRET])
    with store.write(in_passing=True, brief=True) as session:
        session.execute(
            delete(SentFormRow).where(SentFormRow.sent_at <= now - timedelta(hours=KEPT_HOURS))
        )
        row = session.scalars(select(SentFormRow).where(SentFormRow.token_hash == key)).first()
        if row is None:
            session.add(SentFormRow(token_hash=key, sent_at=now, answer=None))
            return FormClaim(key, now)
        if row.answer is None and row.sent_at <= now - timedelta(seconds=LOST_SECONDS):
            row.sent_at = now
            return FormClaim(key, now)
        return _sent(row)


def note_answer(store: Store, claim: FormClaim, answer: str) -> None:
    """Note where the answer to a form led; blank for a page without an address."""
    with store.write(in_passing=True, brief=True) as session:
        row = _claimed(session, claim)
        if row is not None:
            row.answer = answer


def release_form(store: Store, claim: FormClaim, *, even_begun: bool = True) -> None:
    """Let a form be sent again, since nothing was done.

    Args:
        store: The database.
        claim: What was claimed; a later claim on the form is left alone.
        even_begun: Whether also when something was kept, such as the count of a wrong password.
    """
    with store.write(in_passing=True, brief=True) as session:
        row = _claimed(session, claim)
        if row is not None and (even_begun or row.answer is None):
            session.delete(row)


def find_answer(store: Store, token: str) -> Sent | None:
    """Return what became of a form by now; None if it was released."""
    key = hash_secret(token[:LONGEST_SECRET])
    with store.read() as session:
        row = session.scalars(select(SentFormRow).where(SentFormRow.token_hash == key)).first()
        return None if row is None else _sent(row)


def _sent(row: SentFormRow) -> Sent:
    return Sent(None if row.answer == BEGUN else row.answer, row.answer is not None)


def _claimed(session: Session, claim: FormClaim) -> SentFormRow | None:
    return session.scalars(
        select(SentFormRow).where(
            SentFormRow.token_hash == claim.token_hash, SentFormRow.sent_at == claim.sent_at
        )
    ).first()
