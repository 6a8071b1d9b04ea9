"""Erasing somebody: looked at first, done in one change, and never taken back."""

from __future__ import annotations

import hashlib
from collections import Counter, defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import delete, select, update

from clubplanner.errors import OutdatedError, RefusedError
from clubplanner.language import _
from clubplanner.services.keeping.counting import count_about
from clubplanner.services.keeping.kept import SHOWN, kept_page
from clubplanner.services.keeping.obstacles import cautions, obstacles
from clubplanner.services.keeping.rows_about import RowAbout, rows_about, without
from clubplanner.services.keeping.subjects import load_known
from clubplanner.store.personal import MARKS
from clubplanner.store.personal_kinds import REWRITTEN, Part
from clubplanner.store.stand import touch_stand
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.season_tables import ChangeRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy import Connection, Table

    from clubplanner.services.keeping.counting import Counted
    from clubplanner.services.keeping.kept import KeptPage
    from clubplanner.services.keeping.subjects import Known, Subject
    from clubplanner.store.engine import Store

PERSON, HIRE = "person", "hire"
FIRST_TO_GO = ("push", "look", "push_reader", "mail_anew", "link")
"""Tables whose rows others' refer to nobody in; the rest go after them."""


@dataclass(frozen=True, slots=True)
class Foreseen:
    """What erasing somebody would do.

    Attributes:
        known: Who, and what they are recognised by.
        goes: How many rows go, by what they are told as.
        stays: How many stay without them.
        obstacles: What stands in the way, in sentences; empty where nothing does.
        cautions: What is left to see to by hand, in sentences.
        mark: Tells whether what was looked at is what there is.
    """

    known: Known
    goes: dict[Part, int]
    stays: dict[Part, int]
    obstacles: tuple[str, ...]
    cautions: tuple[str, ...]
    mark: str


@dataclass(frozen=True, slots=True)
class Erased:
    """What was erased.

    Attributes:
        rows: In how many entries.
        is_wiped: Whether the file holds nothing of it any more, free space and log included.
    """

    rows: int
    is_wiped: bool


def foresee_erasing(
    store: Store, subject: Subject, now: datetime, asker: int | None = None
) -> Foreseen:
    """Say what erasing somebody would do.

    Args:
        store: The database.
        subject: Who.
        now: The present instant.
        asker: The number of who asks, who cannot erase themselves; None for nobody signed in.

    Raises:
        MissingError: If they are not there (any more).
    """
    return look_at(store, subject, now, asker)[1]


def look_at(
    store: Store, subject: Subject, now: datetime, asker: int | None = None
) -> tuple[KeptPage, Foreseen]:
    """Say what is kept of somebody, and what erasing them would do; see `foresee_erasing`."""
    with store.read() as session:
        known = load_known(session, subject)
        counted = count_about(session.connection(), known, SHOWN, is_listed=True)
        found = counted.rows
        theirs = Counter(MARKS[one.table].part for one in found if _goes(one))
        others = Counter(MARKS[one.table].part for one in found if not _goes(one) and _is_in(one))
        for table, unread in counted.unread.items():
            theirs[MARKS[table].part] += unread.theirs
            others[MARKS[table].part] += unread.speaking
        foreseen = Foreseen(
            known,
            dict(+theirs),
            dict(+others),
            obstacles(session, known, now, asker),
            cautions(known, found, store.engine),
            _mark(counted),
        )
        return kept_page(session, known, found, counted.unread), foreseen


def erase(
    store: Store, subject: Subject, now: datetime, asker: int | None = None, mark: str | None = None
) -> Erased:
    """Take somebody out of all records, for good; the past stays without them.

    Their sign-in, addresses, mails and notices go. Where others' entries speak of them, words for
    somebody erased stand instead. The list of changes says that somebody was erased, not who.

    Args:
        store: The database.
        subject: Who.
        now: The present instant.
        asker: The number of who asks; None for nobody signed in.
        mark: That of what was looked at; None where nobody looked.

    Raises:
        MissingError: If they are not there (any more).
        OutdatedError: If more or less is kept of them by now than was looked at.
        RefusedError: If something stands in the way; nothing was erased.
    """
    with store.write() as session:
        known = load_known(session, subject)
        in_the_way = obstacles(session, known, now, asker)
        if in_the_way:
            raise RefusedError(" ".join(in_the_way))
        connection = session.connection()
        if mark is not None:
            _refuse_outdated(connection, known, mark)
        found = rows_about(connection, known)
        _take_away(connection, [one for one in found if _goes(one)])
        instead = _("somebody erased")
        for one in found:
            if not _goes(one) and _is_in(one):
                _rewrite(connection, one, known, instead)
        _leave_number(connection, known, instead, now)
        session.add(ChangeRow(at=now, by=store.by, words=_("erased what was kept of somebody")))
        touch_stand(session)
    return Erased(len(found), store.wipe())


def _refuse_outdated(connection: Connection, known: Known, mark: str) -> None:
    if mark != _mark(count_about(connection, known, SHOWN, is_listed=True)):
        raise OutdatedError(
            _("What is kept of them has changed in the meantime; look at it again.")
        )


def _mark(counted: Counted) -> str:
    """Return a mark of which rows are about somebody, and how.

    It is another one as soon as a row comes or goes, becomes theirs or no longer is, or, where it
    is not theirs, speaks of them in another column. Of a table with many rows the database lists
    all of them by key, and no row is read for it.
    """
    listed = [
        f"{one.table} {one.key} {one.columns} {one.is_theirs}"
        for one in counted.rows
        if one.table not in counted.unread
    ]
    listed += [f"{table}\n{unread.listed}" for table, unread in counted.unread.items()]
    return hashlib.sha256("\n".join(sorted(listed)).encode()).hexdigest()[:16]


def _goes(one: RowAbout) -> bool:
    """Tell whether a row goes as a whole: a person's own stays as a number, and whom they coached.

    Things are called what they are called; others' rows among the people are theirs.
    """
    return one.is_theirs and one.table not in (PERSON, "squad_coach")


def _is_in(one: RowAbout) -> bool:
    if one.table == PERSON:
        return one.is_theirs
    return any(MARKS[one.table].columns[name] in REWRITTEN for name in one.columns)


def _take_away(connection: Connection, rows: Sequence[RowAbout]) -> None:
    by_table: dict[str, list[RowAbout]] = defaultdict(list)
    for one in rows:
        by_table[one.table].append(one)
    order = [*FIRST_TO_GO, *(name for name in by_table if name not in FIRST_TO_GO)]
    for name in order:
        table = Base.metadata.tables[name]
        for one in by_table.get(name, ()):
            connection.execute(delete(table).where(*_is_row(table, one)))


def _rewrite(connection: Connection, one: RowAbout, known: Known, instead: str) -> None:
    table, columns = Base.metadata.tables[one.table], MARKS[one.table].columns
    values = {
        name: without(columns[name], one.row[name], known.traces, instead)
        for name in one.columns
        if columns[name] in REWRITTEN
    }
    connection.execute(update(table).where(*_is_row(table, one)).values(values))


def _leave_number(connection: Connection, known: Known, instead: str, now: datetime) -> None:
    """Empty what is theirs by number, with the names that others have as well."""
    if known.subject.hire is not None:
        hires = Base.metadata.tables[HIRE]
        mine = hires.c.id == known.subject.hire
        name = connection.scalar(select(hires.c.name).where(mine)) or ""
        values = {"name": known.own.rewrite(name, instead), "contact": "", "phone": "", "note": ""}
        connection.execute(update(hires).where(mine).values(values))
    if not known.person:
        return
    people, entries = Base.metadata.tables[PERSON], Base.metadata.tables["changed_record"]
    row = connection.execute(select(people).where(people.c.id == known.person)).one()
    empty_person: dict[str, Any] = {
        "name": "",
        "email": "",
        "phone": "",
        "may_sign_in": False,
        "password_hash": None,
        "version": row.version + 1,
        "ended_at": row.ended_at or now,
    }
    connection.execute(update(people).where(people.c.id == known.person).values(empty_person))
    own = (entries.c.sort == PERSON) & (entries.c.number == str(known.person))
    for entry in connection.execute(select(entries).where(own)).all():
        values = {"title": known.own.rewrite(entry.title, instead)}
        states = {"before": entry.before, "after": entry.after}
        values |= {
            name: known.own.rewrite_all(state, instead) for name, state in states.items() if state
        }
        connection.execute(update(entries).where(entries.c.id == entry.id).values(values))


def _is_row(table: Table, one: RowAbout) -> list[Any]:
    return [
        column == value for column, value in zip(table.primary_key.columns, one.key, strict=True)
    ]
