"""Who may take a change back: decided here, for every page and form.

The secretary takes back whatever can be, that of a club whatever is of its squads alone. Everybody
else takes back only what they themselves did last, in the browser they did it with, and only until
a session of it begins.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.language import _
from clubplanner.services.journal.own_view import why_not_own
from clubplanner.services.rows.journal.journal_rows import changed_from_row
from clubplanner.store.tables.season_tables import ChangeRow, SwapOfferRow

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.people import Person

SWAP = "offer to change places"


@dataclass(frozen=True, slots=True)
class Asker:
    """Somebody who wants to take a change back.

    Attributes:
        person: Who.
        made_here: The number of the last change that this person made with this browser; None for
            none. The journal knows names only, and a name can be given to somebody else later.
    """

    person: Person
    made_here: int | None


def why_not_theirs(session: Session, row: ChangeRow, asker: Asker | None, now: datetime) -> str:
    """Say why somebody may not take a change back, though it could be; blank if they may.

    Args:
        session: An open session.
        row: The change.
        asker: Who asks; None for whoever runs the program.
        now: The present instant.
    """
    if asker is None or asker.person.keeps_squads:
        return why_not_own(session, row)
    own = select(func.max(ChangeRow.id)).where(ChangeRow.by == asker.person.name)
    if row.id != asker.made_here or row.by != asker.person.name or session.scalar(own) != row.id:
        return _("You can take back only what you did last; for anything else ask the secretary.")
    if any(row.at < start <= now for start in _starts(session, row)):
        return _("A session of it has begun since; ask the secretary.")
    return ""


def _starts(session: Session, row: ChangeRow) -> Iterator[datetime]:
    """Yield when the sessions begin that a change is about, as they were and as they are."""
    for entry in row.bookings:
        changed = changed_from_row(entry)
        for state in (changed.before, changed.after):
            if state is not None and state.purpose is not Purpose.CLOSED:
                yield state.starts_at
    for record in row.records:
        offer = session.get(SwapOfferRow, int(record.number)) if record.sort == SWAP else None
        if offer is not None:
            yield offer.own.starts_at
            yield offer.other.starts_at
