"""Taking back a season that was begun in one go, as far as the journal alone does not.

The journal puts squads, stretches and breaks back. What it does not hold (addresses, who coaches,
keys, the names of the season before) stands with the season itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import delete, func, select

from clubplanner.domain.times.times import instant_from_wall
from clubplanner.errors import RefusedError
from clubplanner.language import _, marked, quoted, term
from clubplanner.services.rows.people.coaching import set_coaches
from clubplanner.services.rows.people.people_rows import is_erased
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.journal.record_sorts import SORT_OF_ROW
from clubplanner.store.journal.records import read_key
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.club_tables import StretchRow
from clubplanner.store.tables.link_tables import LinkRow, SessionLinkRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.squad_tables import AskRow, SquadRow
from clubplanner.store.tables.turn_tables import SeasonRow, SquadNameRow, forget_earlier_names

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.tables.season_tables import ChangedRecordRow

SORT = SORT_OF_ROW[SeasonRow].name
BUILT_ON = {
    SORT_OF_ROW[row].name: (row.__tablename__, own)
    for row, own in ((SquadRow, {AskRow.__tablename__}), (StretchRow, set[str]()))
}
"""Tables that much is built on, and what belongs to each of their rows itself."""
TOLD = {
    "booking": marked("bookings"),
    "link": marked("addresses"),
    "squad_coach": marked("coaches"),
    "share_out": marked("share-outs"),
    "fixture": marked("matches"),
}
"""Tables by what they hold, where people know it by a word."""


def season_of(session: Session, rows: Sequence[ChangedRecordRow]) -> SeasonRow | None:
    """Return the season that a change began; None where it began none, or it is gone."""
    for row in rows:
        if row.sort == SORT and row.before is None:
            return session.get(SeasonRow, read_key(row.sort, row.number)[1])
    return None


def season_obstacles(session: Session, rows: Sequence[ChangedRecordRow]) -> Iterator[str]:
    """Say what was built on what a season brought, and keeps it from being taken back."""
    for row in rows:
        if row.before is not None or row.sort not in BUILT_ON:
            continue
        found = _built_on(session, row.sort, read_key(row.sort, row.number)[1])
        if found:
            called = f"{term(row.sort)} {quoted(row.title)}"
            yield _(
                "%(called)s has %(what)s already; take these away first.",
                called=called,
                what=term(TOLD.get(found, marked("entries"))),
            )


def take_season_back(session: Session, season: SeasonRow, now: datetime) -> None:
    """Put back what the journal does not hold of a season; it is taken away by the journal itself.

    Raises:
        RefusedError: If the season has begun: its sessions would get the names of before.
    """
    if instant_from_wall(season.starts_on, 0, load_zone(session)) <= now:
        raise RefusedError(
            _("The season has begun; change squads and stretches on their own pages.")
        )
    kept = season.kept
    for number in kept.get("ended", ()):
        if (link := session.get(LinkRow, number)) is not None:  # else erased, or pruned
            link.revoked_at = None
    for number in kept.get("ended_sessions", ()):
        if (passed_on := session.get(SessionLinkRow, number)) is not None:
            passed_on.revoked_at = None
    for number, squad_id in kept.get("moved", {}).items():
        if (link := session.get(LinkRow, int(number))) is not None:
            link.squad_id = squad_id
    for number, people in kept.get("coaches", {}).items():
        persons = [session.get_one(PersonRow, person) for person in people]
        persons = [person for person in persons if not is_erased(person)]
        set_coaches(session, session.get_one(SquadRow, int(number)), persons, now)
    session.execute(delete(SquadNameRow).where(SquadNameRow.season_id == season.id))
    forget_earlier_names(session)


def _built_on(session: Session, sort: str, number: int) -> str:
    """Return the first table with a row of others' that refers to a record; blank for none."""
    table, own = BUILT_ON[sort]
    for other in Base.metadata.sorted_tables:
        for key in other.foreign_keys:
            if key.column.table.name != table or other.name in own:
                continue
            query = select(func.count()).select_from(other).where(key.parent == number)
            if session.connection().execute(query).scalar():
                return other.name
    return ""
