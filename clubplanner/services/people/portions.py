"""What one machine may do within a while, shared out among all servers of a club.

Each server takes what it lets a machine do in portions, of which so many are there in a while for
all of them together, and counts within its portion by itself. So a limit holds however many servers
there are, and costs the records a row for each portion, none for a single form.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import delete, select

from clubplanner.services.addresses.links import hash_secret
from clubplanner.store.tables.people_tables import SignInTryRow

if TYPE_CHECKING:
    from datetime import datetime, timedelta

    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class Allowance:
    """What there is for one machine.

    Attributes:
        name: What for, a word.
        portions: How many there are within the window.
        window: A while.
    """

    name: str
    portions: int
    window: timedelta


def take_portion(store: Store, allowance: Allowance, machine: str, now: datetime) -> int:
    """Take a portion for a machine.

    Args:
        store: The database.
        allowance: Of what.
        machine: Its network address; only a hash of it is kept, for the window.
        now: The present instant.

    Returns:
        0 if there was one left; else after how many seconds there will be.
    """
    key = hash_secret(f"{allowance.name} {machine}")
    ours = SignInTryRow.counted_under == key
    with store.write(in_passing=True) as session:
        over = SignInTryRow.tried_at <= now - allowance.window
        session.execute(delete(SignInTryRow).where(ours, over))
        query = select(SignInTryRow.tried_at).where(ours).order_by(SignInTryRow.tried_at.desc())
        taken = session.scalars(query.limit(allowance.portions)).all()
        if len(taken) >= allowance.portions:
            wait = taken[-1] + allowance.window - now
            return max(1, round(wait.total_seconds()))
        session.add(SignInTryRow(counted_under=key, tried_at=now))
        return 0
