"""How far the journal can be followed: since when its numbers count, and what is gone from it."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.orm import Mapped, mapped_column

from clubplanner.store.tables.base import Base


class JournalEraRow(Base):
    """A time in which each change of the journal has a number of its own.

    Records that are brought back from a backup give numbers again that were given after it: another
    era begins. The first is made once somebody asks for a mark.

    Attributes:
        name: What marks of the era begin with; nobody can guess it.
        begins_after: The number of the last change before it: what follows is of this era.
        dropped_to: Of the changes up to this number some are gone from the journal.
    """

    __tablename__ = "journal_era"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(unique=True)
    begins_after: Mapped[int]
    begun_at: Mapped[datetime]
    dropped_to: Mapped[int]
