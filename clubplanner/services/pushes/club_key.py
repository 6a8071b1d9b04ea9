"""The club's key for notices to phones, made at first use."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from cryptography.hazmat.primitives.asymmetric import ec

from clubplanner.outputs.pushes.encryption import CURVE
from clubplanner.outputs.pushes.signature import words_from_key
from clubplanner.store.tables.push_tables import PushKeyRow

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class ClubKey:
    """Both halves, as base64url.

    Attributes:
        private: Never leaves.
        public: What browsers are given when they ask to be told.
    """

    private: str = field(repr=False)
    public: str


def load_club_key(store: Store, now: datetime) -> ClubKey:
    """Return the club's key, made at first use and kept in the database.

    Another key would end all notices: browsers are bound to the one they were given.
    """
    with store.read() as session:
        row = session.get(PushKeyRow, 1)
    if row is None:
        with store.write() as session:
            row = session.get(PushKeyRow, 1)
            if row is None:
                private, public = words_from_key(ec.generate_private_key(CURVE))
                row = PushKeyRow(id=1, private_key=private, public_key=public, made_at=now)
                session.add(row)
    return ClubKey(row.private_key, row.public_key)
