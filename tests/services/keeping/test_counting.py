"""What is counted of somebody is what reading all of it finds."""

from __future__ import annotations

from collections import Counter
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import insert, select
from sqlalchemy.exc import IntegrityError

from clubplanner.domain.club.persons.traces import Traces
from clubplanner.services.keeping import counting
from clubplanner.services.keeping.counting import DATED, count_about
from clubplanner.services.keeping.kept import SHOWN, kept_page, see_kept
from clubplanner.services.keeping.rows_about import rows_about
from clubplanner.services.keeping.subjects import Known, Subject, load_known
from clubplanner.store.personal import MARKS
from clubplanner.store.personal_kinds import LOOKED_INTO, Holds
from clubplanner.store.tables.base import Base
from tests.services.keeping.planted import ADDRESS, NAME, plant
from tests.services.keeping.test_rows_about import drawn_text, drawn_traces, seeded

if TYPE_CHECKING:
    from random import Random

    from sqlalchemy import Connection

    from clubplanner.services.keeping.rows_about import RowAbout
    from clubplanner.store.engine import Store

COPIES = 25
LATEST = 3
COUNTED_AT_LEAST = {"mail", "waiting_ask", "swap_offer", "fixture", "closure", "booking_change"}


def spoken(draw: Random, holds: Holds, value: Any) -> Any:
    """Return what may stand in a column: somebody, something else, or what stood there."""
    words = draw.choice((NAME, ADDRESS, drawn_text(draw), ""))
    if holds is Holds.VALUES:
        return draw.choice((value, [{"was": words}], {words: [words, 1, None]}))
    return value if holds is Holds.FILE else draw.choice((words, value))


def copy_of(draw: Random, name: str, row: dict[str, Any], person: int) -> dict[str, Any]:
    """Return a row like another one, of another day, about somebody or not."""
    table, marks = Base.metadata.tables[name], MARKS[name]
    copied = {key: value for key, value in row.items() if key != "id"}
    for column, holds in marks.columns.items():
        if holds in LOOKED_INTO:
            copied[column] = spoken(draw, holds, row[column])
        elif holds is Holds.WHO:
            copied[column] = draw.choice((person, row[column]))
            if table.c[column].nullable:
                copied[column] = draw.choice((copied[column], None))
        elif isinstance(row[column], str) and len(row[column]) > 16:
            copied[column] = f"{row[column][:-9]}{draw.randrange(10**8)}"
    for column in DATED:
        if isinstance(copied.get(column), date | datetime):
            copied[column] -= timedelta(days=draw.randrange(40))
    return copied


def fill(connection: Connection, draw: Random, person: int) -> set[str]:
    """Put copies of a row into every table that can hold somebody; return which took many."""
    filled: Counter[str] = Counter()
    for name, marks in MARKS.items():
        table = Base.metadata.tables[name]
        row = connection.execute(select(table)).mappings().first()
        if row is None or name == "person" or not marks.holding(Holds.WHO, *LOOKED_INTO):
            continue
        for _ in range(COPIES):
            try:
                with connection.begin_nested():
                    connection.execute(insert(table).values(copy_of(draw, name, dict(row), person)))
            except IntegrityError:
                continue
            filled[name] += 1
    return {name for name, count in filled.items() if count > COPIES // 2}


def keys(rows: list[RowAbout]) -> set[tuple[Any, ...]]:
    """Return what makes rows the same."""
    return {(one.table, one.key, one.columns, one.is_theirs) for one in rows}


def latest(rows: list[RowAbout]) -> list[RowAbout]:
    """Return the latest of a table's rows, those of a day in the order of their keys."""
    column = next(one for one in DATED if one in rows[0].row)
    ordered = sorted(rows, key=lambda one: one.key)
    return sorted(ordered, key=lambda one: one.row[column], reverse=True)[:LATEST]


def assert_alike(connection: Connection, known: Known) -> set[str]:
    """Hold what is counted against all that is read; return which tables were counted."""
    wanted = rows_about(connection, known)
    found = count_about(connection, known, LATEST)
    tables = Counter(one.table for one in found.rows)
    tables.update({name: one.count for name, one in found.unread.items()})
    assert tables == Counter(one.table for one in wanted)
    read = [one for one in wanted if one.table not in found.unread]
    assert keys([one for one in found.rows if one.table not in found.unread]) == keys(read)
    for table in found.unread:
        shown = [one for one in found.rows if one.table == table]
        assert keys(shown) == keys(latest([one for one in wanted if one.table == table]))
    return set(found.unread)


@pytest.mark.parametrize("seed", range(4))
def test_counting_finds_what_reading_finds(
    lived: Store, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In every table, of somebody with a number and of whoever a name is typed of."""
    monkeypatch.setattr(counting, "FEW", 5)
    draw = seeded(seed)
    number = plant(lived)
    with lived.write() as session:
        filled = fill(session.connection(), draw, number)
    assert filled >= COUNTED_AT_LEAST
    counted: set[str] = set()
    with lived.read() as session:
        connection = session.connection()
        counted |= assert_alike(connection, load_known(session, Subject(person=number)))
        for _ in range(6):
            traces = drawn_traces(draw)
            counted |= assert_alike(
                connection, Known(Subject(typed=traces), "", traces, traces, ())
            )
        typed = Traces((NAME,), (ADDRESS,))
        counted |= assert_alike(connection, load_known(session, Subject(typed=typed)))
    assert counted >= COUNTED_AT_LEAST


def test_the_page_tells_what_all_rows_would_tell(lived: Store) -> None:
    """Counts and lines of somebody with thousands of mails, of whom few rows are read."""
    number = plant(lived)
    mails = Base.metadata.tables["mail"]
    with lived.write() as session:
        connection = session.connection()
        row = dict(connection.execute(select(mails)).mappings().first() or {})
        del row["id"]
        made = row["made_at"]
        about = {"address": ADDRESS, "name": NAME}
        copies = [
            row | about | {"message_id": f"{n}@x.example", "made_at": made - timedelta(hours=n)}
            for n in range(3000)
        ]
        connection.execute(insert(mails), copies)
    subject = Subject(person=number)
    with lived.read() as session:
        known = load_known(session, subject)
        wanted = kept_page(session, known, rows_about(session.connection(), known))
    page = see_kept(lived, subject)
    assert page == wanted
    assert max(part.count for part in page.parts) > 3000
    assert all(len(part.lines) <= SHOWN for part in page.parts)
