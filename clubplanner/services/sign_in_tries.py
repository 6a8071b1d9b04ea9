"""Attempts to sign in are counted in the database, so that a restart forgets none of them."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import delete, select

from clubplanner.errors import TooManyError
from clubplanner.services.links import hash_secret
from clubplanner.store.tables import SignInTryRow

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.store.engine import Store

WINDOW_MINUTES = 15
TRIES_A_NAME = 8
"""For one name within the window; a printed address still lets its owner in."""
TRIES_A_MACHINE = 40
"""From one machine within the window; a whole clubhouse may share an address."""


def count_try(store: Store, name: str, machine: str, now: datetime) -> None:
    """Count an attempt under the name tried and under the machine it came from.

    Args:
        store: The database.
        name: What was typed as name or e-mail.
        machine: The network address it came from; blank when not known.
        now: The present instant.

    Raises:
        TooManyError: If either has used up its attempts; the attempt must not be looked at.
    """
    counters = [(f"name {fold(name)}", TRIES_A_NAME)]
    if machine:
        counters.append((f"machine {machine}", TRIES_A_MACHINE))
    since = now - timedelta(minutes=WINDOW_MINUTES)
    with store.write() as session:
        session.execute(delete(SignInTryRow).where(SignInTryRow.tried_at <= since))
        for words, most in counters:
            key = hash_secret(words)
            query = select(SignInTryRow.tried_at).where(SignInTryRow.counted_under == key)
            tried = session.scalars(query.order_by(SignInTryRow.tried_at)).all()
            if len(tried) >= most:
                wait = tried[len(tried) - most] - since
                raise TooManyError(max(1, round(wait.total_seconds())))
            session.add(SignInTryRow(counted_under=key, tried_at=now))


def forget_tries(store: Store, name: str) -> None:
    """Forget what was counted under a name, once its owner is in."""
    key = hash_secret(f"name {fold(name)}")
    with store.write() as session:
        session.execute(delete(SignInTryRow).where(SignInTryRow.counted_under == key))


def fold(name: str) -> str:
    """Return a name or e-mail as it is compared: capitals and spaces make no difference."""
    return " ".join(name.split()).casefold()
