"""Claims on work: whoever lost one to somebody later writes nothing.

A form is claimed by the request that does what it asks for, a run of a share-out by the process
that works on it. What such work writes is kept only if the claim still holds, and in the same
transaction it is noted how far the work is. So what is known of it is never behind what it did, and
two that both believe to be at it cannot both do it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

from sqlalchemy import func, update

from clubplanner.errors import OutdatedError
from clubplanner.language import _
from clubplanner.store import postgres
from clubplanner.store.stand import WRITTEN
from clubplanner.store.tables.people_tables import SentFormRow
from clubplanner.store.tables.run_tables import ShareRunRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy import CursorResult, Table, Update
    from sqlalchemy.orm import Session

    from clubplanner.store.tables.base import Base

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


@dataclass(frozen=True, slots=True)
class RunClaim:
    """That a run of a share-out is worked on by one process.

    Attributes:
        number: Of the run.
        begun_at: When this process began; one that took the run up after it began later.
        states: The state while it is worked on, and once its proposal is kept.
    """

    number: int
    begun_at: datetime
    states: tuple[str, str]


Claim = FormClaim | RunClaim

_PROPOSAL = "claimed_proposal"


def note_proposal(session: Session, number: int) -> None:
    """Say which proposal the transaction keeps, so that the run that made it is known to be done.

    Args:
        session: The open write session.
        number: Of the proposal.
    """
    session.info[_PROPOSAL] = number


def count_writes(session: Session) -> int:
    """Return a number that grows as the session's transaction writes rows."""
    if session.get_bind().dialect.name == postgres.NAME:
        written: set[str] | None = session.info.get(WRITTEN)
        return int(postgres.has_written(session)) if written is None else len(written)
    connection = session.connection().connection.dbapi_connection
    return int(getattr(connection, "total_changes", 0))


def hold_claim(session: Session, claim: Claim) -> None:
    """Note in the transaction of the work itself how far the work is.

    Raises:
        OutdatedError: If it has been claimed anew; the transaction must not be kept.
    """
    is_form = isinstance(claim, FormClaim)
    statement = _of_form(claim) if isinstance(claim, FormClaim) else _of_run(session, claim)
    result = cast("CursorResult[tuple[()]]", session.connection().execute(statement))
    if result.rowcount > 0:
        return
    if is_form:
        raise OutdatedError(
            _("This form was sent again while it was at work; it is done there, once.")
        )
    raise OutdatedError(
        _("This share-out was taken up by another process; it is done there, once.")
    )


def _of_form(claim: FormClaim) -> Update:
    return (
        update(_table(SentFormRow))
        .where(SentFormRow.token_hash == claim.token_hash, SentFormRow.sent_at == claim.sent_at)
        .values(answer=func.coalesce(SentFormRow.answer, BEGUN))
    )


def _of_run(session: Session, claim: RunClaim) -> Update:
    working, done = claim.states
    proposal = session.info.get(_PROPOSAL)
    kept = {} if proposal is None else {"share_out_id": proposal, "state": done}
    return (
        update(_table(ShareRunRow))
        .where(
            ShareRunRow.id == claim.number,
            ShareRunRow.begun_at == claim.begun_at,
            ShareRunRow.state == working,
        )
        .values({"is_stop_asked": ShareRunRow.is_stop_asked, **kept})
    )


def _table(row: type[Base]) -> Table:
    return cast("Table", row.__table__)
