"""What erasing would do is told without reading all of it, and every change since is noticed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import delete, insert, select, update
from sqlalchemy.exc import IntegrityError

from clubplanner.errors import OutdatedError
from clubplanner.services.keeping import counting
from clubplanner.services.keeping.erasing import erase, foresee_erasing, look_at
from clubplanner.services.keeping.rows_about import Looking, rows_about
from clubplanner.services.keeping.subjects import Subject, load_known
from clubplanner.store.personal import MARKS
from clubplanner.store.personal_kinds import LOOKED_INTO, Holds
from clubplanner.store.tables.base import Base
from tests.builders import NOW
from tests.services.keeping.planted import ADDRESS, NAME, plant
from tests.services.keeping.test_counting import COUNTED_AT_LEAST, copy_of, fill, spoken
from tests.services.keeping.test_rows_about import seeded

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from random import Random

    from sqlalchemy import Connection

    from clubplanner.services.keeping.rows_about import RowAbout
    from clubplanner.store.engine import Store

EDITS = 40
EDITED = sorted(COUNTED_AT_LEAST | {"turnout", "hint", "session_link", "token", "push", "hire"})


def filled(store: Store, draw: Random) -> Subject:
    """Return somebody of whom much is kept in every table."""
    number = plant(store)
    with store.write() as session:
        assert fill(session.connection(), draw, number) >= COUNTED_AT_LEAST
    return Subject(person=number)


def said(store: Store, subject: Subject) -> tuple[set[tuple[Any, ...]], set[tuple[Any, ...]]]:
    """Return which rows are about somebody and how: as far as erasing them goes, and in full."""
    with store.read() as session:
        rows = rows_about(session.connection(), load_known(session, subject))
    full = {(one.table, one.key, one.is_theirs, one.columns) for one in rows}
    return {(table, key, own, own or how) for table, key, own, how in full}, full


def edit(store: Store, draw: Random, person: int) -> None:
    """Put a row into a table, take one out, or let one say something else."""
    name = draw.choice(EDITED)
    table, marks = Base.metadata.tables[name], MARKS[name]
    with store.write() as session:
        connection = session.connection()
        rows = connection.execute(select(table)).mappings().all()
        row = dict(draw.choice(rows)) if rows else {}
        which = [column == row.get(column.name) for column in table.primary_key.columns]
        what = draw.randrange(4) if rows else 4
        column = draw.choice(marks.holding(*LOOKED_INTO))
        value = spoken(draw, marks.columns[column], row.get(column, ""))
        if what == 0:
            attempt(connection, delete(table).where(*which))
        elif what == 1:
            attempt(connection, insert(table).values(copy_of(draw, name, row, person)))
        elif what < 4:
            attempt(connection, update(table).where(*which).values({column: value}))


def attempt(connection: Connection, statement: Any) -> None:
    """Send a statement that may be refused, as others need the row or have its key."""
    try:
        with connection.begin_nested():
            connection.execute(statement)
    except IntegrityError:
        pass


@pytest.mark.parametrize("seed", range(3))
def test_the_mark_is_another_one_after_every_change(
    lived: Store, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And the same one as long as the same rows are about somebody in the same way."""
    monkeypatch.setattr(counting, "FEW", 5)
    draw = seeded(seed)
    subject = filled(lived, draw)
    before, mark = said(lived, subject), foresee_erasing(lived, subject, NOW).mark
    changed = same = 0
    for _ in range(EDITS):
        edit(lived, draw, subject.person or 0)
        after, then = said(lived, subject), foresee_erasing(lived, subject, NOW).mark
        if after[0] != before[0]:
            assert then != mark
            changed += 1
        elif after[1] == before[1]:
            assert then == mark
            same += 1
        before, mark = after, then
    assert changed > EDITS / 8
    assert same > EDITS / 8


@pytest.mark.parametrize("seed", range(3))
def test_what_erasing_would_do_is_what_reading_all_tells(
    lived: Store, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """How much goes and stays, what to know, and the page, in every table."""
    subject = filled(lived, seeded(seed))
    monkeypatch.setattr(counting, "FEW", 10**6)
    page, wanted = look_at(lived, subject, NOW)
    monkeypatch.setattr(counting, "FEW", 5)
    shown, found = look_at(lived, subject, NOW)
    assert shown == page
    assert (found.goes, found.stays) == (wanted.goes, wanted.stays)
    assert (found.cautions, found.obstacles) == (wanted.cautions, wanted.obstacles)
    assert sum(found.goes.values()) > len(COUNTED_AT_LEAST) * 5


def test_where_many_texts_speak_of_somebody_all_rows_are_read(
    lived: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A statement takes only so many values."""
    subject = filled(lived, seeded(1))
    wanted = look_at(lived, subject, NOW)[0]
    monkeypatch.setattr(counting, "FEW", 5)
    monkeypatch.setattr(counting, "MOST_TEXTS", 1)
    assert look_at(lived, subject, NOW)[0] == wanted


def add_mails(store: Store, count: int) -> list[int]:
    """Put mails to somebody beside one that is there; return their numbers."""
    mails = Base.metadata.tables["mail"]
    with store.write() as session:
        connection = session.connection()
        row = dict(connection.execute(select(mails)).mappings().first() or {}) | {"changes": []}
        del row["id"]
        about = row | {"address": ADDRESS, "name": NAME}
        return [
            connection.execute(
                insert(mails).returning(mails.c.id), about | {"message_id": f"more-{n}@x.example"}
            ).scalar_one()
            for n in range(count)
        ]


@pytest.mark.parametrize("way", ["comes", "goes", "is exchanged"])
def test_a_change_of_one_mail_among_many_is_noticed_before_erasing(lived: Store, way: str) -> None:
    """One came, went, or took the place of another, so that they are as many as before."""
    number = plant(lived)
    mails = Base.metadata.tables["mail"]
    mine = add_mails(lived, counting.FEW + 20)
    subject = Subject(person=number)
    mark = foresee_erasing(lived, subject, NOW).mark
    assert foresee_erasing(lived, subject, NOW).mark == mark
    with lived.write() as session:
        connection = session.connection()
        first = connection.execute(select(mails).where(mails.c.id == mine[0])).mappings().one()
        others = {"address": "lee@orr.example", "name": "Lee Orr"}
        if way != "goes":
            new = {**first, "message_id": "new@x.example"}
            connection.execute(insert(mails).values({k: new[k] for k in new if k != "id"}))
        if way != "comes":
            connection.execute(update(mails).where(mails.c.id == mine[7]).values(others))
    with pytest.raises(OutdatedError):
        erase(lived, subject, NOW, mark=mark)
    done = erase(lived, subject, NOW, mark=foresee_erasing(lived, subject, NOW).mark)
    assert done.rows > counting.FEW


def test_few_rows_of_many_are_read_to_foresee(
    lived: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page holds as much of somebody with hundreds of mails as of one with a few."""
    number = plant(lived)
    add_mails(lived, 600)
    read: list[str] = []
    about = Looking.about

    def noted(looking: Looking, rows: Iterable[Mapping[Any, Any]]) -> Iterator[RowAbout]:
        for one in about(looking, rows):
            read.append(one.table)
            yield one

    monkeypatch.setattr(Looking, "about", noted)
    foreseen = foresee_erasing(lived, Subject(person=number), NOW)
    assert sum(foreseen.goes.values()) > 600
    assert read.count("mail") < counting.FEW + 20


def test_a_row_is_listed_by_numbers_and_texts() -> None:
    """No two rows are listed alike, as the keys of what is counted are plain values."""
    for name, marks in MARKS.items():
        if marks.holding(Holds.WHO, *LOOKED_INTO):
            types = {column.type.python_type for column in Base.metadata.tables[name].primary_key}
            assert types <= {int, str}, name
