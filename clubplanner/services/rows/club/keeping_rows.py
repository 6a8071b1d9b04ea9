"""For how long the club keeps things: read and written."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.club.persons.keeping import FEWEST_DAYS, USUAL, Keeping, Period, field_of
from clubplanner.store.tables.keeping_tables import KeepingRow

if TYPE_CHECKING:
    from sqlalchemy.orm import Session


def load_keeping(session: Session) -> Keeping:
    """Return what the club chose, and what is usual where it chose nothing.

    A period that is shorter than is allowed today counts as the shortest that is.
    """
    row = session.get(KeepingRow, 1)
    if row is None:
        return USUAL
    days = {
        field_of(period): max(
            FEWEST_DAYS[period], int(row.days.get(period.value, USUAL.days_of(period)))
        )
        for period in Period
    }
    return Keeping(ask=row.ask, **days)


def save_keeping(session: Session, keeping: Keeping) -> None:
    """Write what the club chose."""
    row = session.get(KeepingRow, 1)
    days = {period.value: keeping.days_of(period) for period in Period}
    if row is None:
        session.add(KeepingRow(id=1, ask=keeping.ask, days=days))
    else:
        row.ask, row.days = keeping.ask, days
