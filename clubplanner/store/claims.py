"""A form's claim on its own work: whoever lost it to a later press writes nothing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

from sqlalchemy import func, update

from clubplanner.errors import OutdatedError
from clubplanner.language import _
from clubplanner.store import postgres
from clubplanner.store.tables.people_tables import SentFormRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy import CursorResult
    from sqlalchemy.orm import Session

BEGUN = "begun"
"""Stands for the answer of a form some of whose work is kept, until the answer is known."""


@dataclass(frozen=True, slots=True)
class FormClaim:
    """That a form is at work in one place.

    Attributes:
        token_hash: Hash of the form's token.
        sent_at: When it was claimed; a later claim on the same form is seconds later.
    """

    token_hash: str
    sent_at: datetime


def count_writes(session: Session) -> int:
    """Return a number that grows as the session's transaction writes rows."""
    if session.get_bind().dialect.name == postgres.NAME:
        return int(postgres.has_written(session))
    connection = session.connection().connection.dbapi_connection
    return int(getattr(connection, "total_changes", 0))


def hold_claim(session: Session, claim: FormClaim) -> None:
    """Note in the transaction of the work itself that the work of a form has begun.

    So what is known of a form is never behind what it did, even when the power fails.

    Raises:
        OutdatedError: If the form has been claimed anew; the transaction must not be kept.
    """
    statement = (
        update(SentFormRow.__table__)  # type: ignore[arg-type]
        .where(
            SentFormRow.token_hash == claim.token_hash,
            SentFormRow.sent_at == claim.sent_at,
        )
        .values(answer=func.coalesce(SentFormRow.answer, BEGUN))
    )
    result = cast("CursorResult[tuple[()]]", session.connection().execute(statement))
    if result.rowcount == 0:
        raise OutdatedError(
            _("This form was sent again while it was at work; it is done there, once.")
        )
