"""What the club said of the headings of its tables, so that it is said once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.inputs.pasting.headings import plain_heading
from clubplanner.store.tables.pasting_tables import TableHeadingRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sqlalchemy.orm import Session

MOST = 1_000
"""Headings of a kind that are kept; a club has some dozens."""
LONGEST = 200


def load_headings(session: Session, kind: str) -> Mapping[str, str]:
    """Return which column each plain heading means in tables of a kind; blank for left out."""
    rows = select(TableHeadingRow.heading, TableHeadingRow.means).where(
        TableHeadingRow.kind == kind
    )
    return dict(session.execute(rows).all())


def keep_headings(
    session: Session, kind: str, headings: Sequence[str], columns: Sequence[str]
) -> None:
    """Keep which column each heading means; what was said later counts.

    Args:
        session: The open write session.
        kind: Of the table.
        headings: As the table has them; blank ones say nothing.
        columns: What each is taken for; blank for left out.
    """
    known = {
        row.heading: row
        for row in session.scalars(select(TableHeadingRow).where(TableHeadingRow.kind == kind))
    }
    for heading, means in zip(headings, columns, strict=True):
        plain = plain_heading(heading)[:LONGEST]
        if not plain:
            continue
        row = known.get(plain)
        if row is None and len(known) < MOST:
            row = known[plain] = TableHeadingRow(kind=kind, heading=plain)
            session.add(row)
        if row is not None:
            row.means = means
