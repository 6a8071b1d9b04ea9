"""Tokens: keys by which a person's other programs come in at the JSON API."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from clubplanner.store.tables.base import Base
from clubplanner.store.tables.people_tables import PersonRow


class TokenRow(Base):
    """A token of a person for one purpose; only its hash is kept.

    It opens what the person may do, as long as they may sign in: reading alone, or changing too
    (`may_change`). Its row stays once it is withdrawn, so that the list says what there was.
    """

    __tablename__ = "token"

    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), index=True)
    purpose: Mapped[str]
    secret_hash: Mapped[str] = mapped_column(unique=True)
    may_change: Mapped[bool]
    created_at: Mapped[datetime]
    ends_at: Mapped[datetime]
    used_at: Mapped[datetime | None]
    revoked_at: Mapped[datetime | None]

    person: Mapped[PersonRow] = relationship()
