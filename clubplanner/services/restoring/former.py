"""What the records that are replaced by a backup know of what has happened since."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.store.journal.states import NOTED
from clubplanner.store.stand import read_stand
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.notice_tables import NoticeRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.season_tables import ClosureRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import datetime

    from sqlalchemy import Connection

Row = dict[str, Any]
Rows = dict[str, list[Row]]
"""Rows by the name of their table."""

WAYS_IN = (
    *("link", "session_link", "browser", "sign_in", "token", "push_reader"),
    *("webhook", "webhook_secret", "webhook_message"),
)
"""Tables of what opens pages for somebody, or reaches their phone or another program."""
TOLD = ("mail", "mail_anew", "mailed", "followed", "mail_off", "mail_pause", "hint", "push")
"""Tables of what people were told."""
ASIDE = ("look", "push_key", "pushed_notice", "sent_form", "sign_in_try", "served", "form_secret")
"""Tables of what else happens between people outside and the program."""
OUTSIDE = frozenset((*WAYS_IN, *TOLD, *ASIDE))
"""Tables that are settled row by row; all others are what the backup holds."""
IDENTITIES: Mapping[str, tuple[str, ...]] = {
    "pitch": ("key",),
    "area": ("pitch_id",),
    "squad": ("key",),
    "person": ("created_at",),
    "booking": ("uid",),
}
"""By which columns a row of the same number is known as the same thing in both."""
MAY_BE_RENAMED = frozenset({"pitch", "squad"})
"""Whose key follows their name: another one is still the same thing if it is nobody else's."""
COUNTED = ("uid", "sequence", "changed_at", "ends_at")


@dataclass(frozen=True, slots=True)
class Known:
    """What one set of records knows.

    Attributes:
        identities: Table → number → by what it is known.
        bookings: What calendars may hold, number → `COUNTED`.
        people: Number → all columns of a person.
        outside: Rows of the tables of `OUTSIDE`.
        untold: Notes that were not told yet, each with its entry of the journal.
        closures: Closures and conditions of ground, each with when it was made.
        stand: The count of changes.
    """

    identities: Mapping[str, Mapping[int, tuple[Any, ...]]]
    bookings: Mapping[int, Row]
    people: Mapping[int, Row]
    outside: Rows
    untold: frozenset[tuple[int, int]]
    closures: frozenset[tuple[int, datetime]]
    stand: int

    @classmethod
    def load(cls, connection: Connection, since: datetime, now: datetime) -> Known:
        """Load it.

        Args:
            connection: To the records.
            since: Bookings that ended before are in no calendar.
            now: Closures that ended before close nothing any more.
        """
        booking = BookingRow.__table__
        counted = select(booking.c.id, *(booking.c[name] for name in COUNTED))
        return cls(
            {name: _identities(connection, name) for name in IDENTITIES},
            {row["id"]: row for row in _rows(connection, counted.where(booking.c.ends_at > since))},
            {row["id"]: row for row in _rows(connection, select(PersonRow.__table__))},
            {
                name: _rows(connection, select(table))
                for name, table in Base.metadata.tables.items()
                if name in OUTSIDE
            },
            frozenset(
                (number, entry)
                for number, entry in connection.execute(
                    select(NoticeRow.id, NoticeRow.entry_id).where(NoticeRow.told_at.is_(None))
                )
            ),
            frozenset(
                (number, at)
                for number, at in connection.execute(
                    select(ClosureRow.id, ClosureRow.created_at).where(
                        ClosureRow.ends_at > now, ClosureRow.lifted_at.is_(None)
                    )
                )
            ),
            read_stand(connection),
        )

    def is_same_club(self, other: Known) -> bool:
        """Tell whether both have come from the same records: something nobody can guess is in both.

        Bookings, addresses, browsers and mails have such names.
        """
        return any(
            ours & theirs for ours, theirs in zip(self._names(), other._names(), strict=True)
        )

    def handed_out(self) -> set[str]:
        """Return the hashes of addresses that open something, those in mails left out."""
        return {
            row["secret_hash"]
            for row in self.outside["link"]
            if row["revoked_at"] is None and row["mail_id"] is None
        }

    def same_things(self, other: Known) -> dict[str, frozenset[int]]:
        """Return by table the numbers under which both know the same thing."""
        return {
            name: frozenset(_same(self.identities[name], other.identities[name], name))
            for name in IDENTITIES
        }

    def _names(self) -> Iterable[set[Any]]:
        yield {uid for (uid,) in self.identities["booking"].values()}
        for table, column in (
            ("link", "secret_hash"),
            ("browser", "secret_hash"),
            ("mail", "message_id"),
            ("form_secret", "value"),
        ):
            yield {row[column] for row in self.outside[table]}
        yield {(n, p["name"], p["created_at"]) for n, p in self.people.items()}


@dataclass(frozen=True, slots=True)
class Stood:
    """A booking as the replaced records have it.

    Attributes:
        values: All columns of its row.
        state: What the journal keeps of it.
    """

    values: Row
    state: Row


def load_stood(connection: Connection, since: datetime) -> dict[int, Stood]:
    """Return the bookings that ended after an instant, or have not yet, by number."""
    booking = BookingRow.__table__
    query = (
        select(booking, SquadRow.name.label("squad_name"))
        .outerjoin(SquadRow, SquadRow.id == booking.c.squad_id)
        .where(booking.c.ends_at > since)
    )
    found = {}
    for row in _rows(connection, query):
        name = row.pop("squad_name")
        state = {key: row[key] for key in NOTED} | {"holder": name or row["holder"]}
        for key in ("starts_at", "ends_at"):
            state[key] = int(state[key].timestamp())
        state["purpose"] = str(state["purpose"])
        found[row["id"]] = Stood(row, state)
    return found


def _same(
    ours: Mapping[int, tuple[Any, ...]], theirs: Mapping[int, tuple[Any, ...]], table: str
) -> Iterable[int]:
    for number in ours.keys() & theirs.keys():
        mine, other = ours[number], theirs[number]
        renamed = table in MAY_BE_RENAMED and not (
            mine in theirs.values() or other in ours.values()
        )
        if mine == other or renamed:
            yield number


def _identities(connection: Connection, name: str) -> dict[int, tuple[Any, ...]]:
    table = Base.metadata.tables[name]
    columns = [table.c[column] for column in IDENTITIES[name]]
    return {row[0]: tuple(row[1:]) for row in connection.execute(select(table.c.id, *columns))}


def _rows(connection: Connection, query: Any) -> list[Row]:
    return [dict(row) for row in connection.execute(query).mappings()]
