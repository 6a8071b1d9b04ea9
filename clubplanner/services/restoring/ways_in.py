"""What opens the club's pages after its records were brought back: never more than did before."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from sqlalchemy import select, update

from clubplanner.domain.club.people import Role
from clubplanner.store.tables.link_tables import LinkRow, SessionLinkRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.token_tables import TokenRow

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy import Connection
    from sqlalchemy.orm import Session

    from clubplanner.services.restoring.former import Known, Rows


class WaysIn(StrEnum):
    """What people's addresses, access and passwords become.

    NOW: As the records that are replaced have them.
    BACKUP: As the backup has them: whoever restores says that nothing was withdrawn since.
    CLOSED: All withdrawn; the secretary lets everybody in anew.
    """

    NOW = "now"
    BACKUP = "backup"
    CLOSED = "closed"


def rows_of_ways_in(
    backup: Known, former: Known | None, ways_in: WaysIn, now: datetime
) -> tuple[Rows, bool]:
    """Return the rows of what opens pages, and whether they are those of the replaced records.

    A sign-in address works once and a browser is signed out once: where nothing says what became
    of one since the backup, it is gone.
    """
    if former is not None and ways_in is WaysIn.NOW:
        return former.outside, True
    if ways_in is WaysIn.CLOSED:
        known = backup if former is None else former
        gone: Rows = {"sign_in": [], "browser": [], "push_reader": []}
        ended = [row | {"ended_at": row["ended_at"] or now} for row in known.outside["webhook"]]
        return {**known.outside, **gone, "webhook": ended}, former is not None
    rows: Rows = dict(backup.outside)
    for table in ("sign_in", "browser"):
        still = set() if former is None else {row["secret_hash"] for row in former.outside[table]}
        rows[table] = [row for row in backup.outside[table] if row["secret_hash"] in still]
    return rows, False


def settle_people(
    there: Connection, former: Known, same: Mapping[str, frozenset[int]], now: datetime
) -> int:
    """Let people be who they are now, by the replaced records; who is gone there cannot sign in.

    It is no change for the journal, which would keep a name that was taken out since.

    Returns:
        How many people could sign in by the backup and cannot any more.
    """
    person = PersonRow.__table__
    ended = 0
    for row in there.execute(select(person)).mappings().all():
        values = {"may_sign_in": False, "password_hash": None, "ended_at": row["ended_at"] or now}
        if row["id"] in same["person"]:
            values = dict(former.people[row["id"]])
        ended += bool(row["may_sign_in"] and not values["may_sign_in"])
        there.execute(update(person).where(person.c.id == row["id"]).values(values))  # type: ignore[arg-type]
    return ended


def close_addresses(session: Session, now: datetime) -> None:
    """Withdraw every address and token; the journal notes it, and can take it back."""
    for link in session.scalars(select(LinkRow).where(LinkRow.revoked_at.is_(None))):
        link.revoked_at = now
    passed = select(SessionLinkRow).where(SessionLinkRow.revoked_at.is_(None))
    for one in session.scalars(passed):
        one.revoked_at = now
    for token in session.scalars(select(TokenRow).where(TokenRow.revoked_at.is_(None))):
        token.revoked_at = now


def close_access(session: Session, now: datetime) -> int:
    """End everybody's access; a secretary comes in by a new password alone.

    Returns:
        How many people could sign in.
    """
    people = session.scalars(select(PersonRow).where(PersonRow.may_sign_in.is_(True))).all()
    for person in people:
        person.password_hash = None
        person.version += 1
        if person.role is not Role.SECRETARY:
            person.may_sign_in, person.ended_at = False, now
    return len(people)
