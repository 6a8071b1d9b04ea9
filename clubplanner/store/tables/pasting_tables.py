"""What the club said of the headings of its own tables."""

from __future__ import annotations

from sqlalchemy import UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from clubplanner.store.tables.base import Base


class TableHeadingRow(Base):
    """Which column a heading means in the club's tables of a kind.

    `heading` is in plain words, so that capitals and signs do not count; `means` is a column by its
    name in `inputs/pasting/kinds.py`, blank for one that is left out.
    """

    __tablename__ = "table_heading"

    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str]
    heading: Mapped[str]
    means: Mapped[str]

    __table_args__ = (UniqueConstraint("kind", "heading"),)
