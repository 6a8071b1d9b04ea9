"""What speaks of somebody is found as if every text were read, however few are."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import insert, select, text

from clubplanner.domain.club.persons.traces import Traces
from clubplanner.services.keeping.rows_about import rows_about, speaks
from clubplanner.services.keeping.subjects import Known, Subject
from clubplanner.store import postgres, saying
from clubplanner.store.journal.states import NOTED, WHY
from clubplanner.store.personal import MARKS
from clubplanner.store.personal_kinds import LOOKED_INTO
from clubplanner.store.saying import texts_like
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.said import KEPT_WORDS, LONGEST_SAID, SAID
from clubplanner.store.upkeep.migrate import check_store, migrate

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from clubplanner.store.engine import Store

NAMES = ("Änne Weber-Lüttich", "Jo Ashby", "Kim O'Hara", "Robin", "李 小龙", "Ida 2nd Berg")
ADDRESSES, PHONES = ("jo@ashby.example", "k_o%h@hara.example"), ("+44 1632 960876", "01632 960 123")
FILLERS = ("", "", "U12 Kestrels", "rang", 'see "the gate"\n', "\\ 100 %", "Joe Ashbyford", "é" * 9)
HAND = 140


def seeded(seed: int) -> Random:
    """Return a source of what is drawn."""
    return Random(seed)  # noqa: S311 - not for secrets


def drawn_text(draw: Random) -> str:
    """Return what somebody may have typed: a name as it is, in other capitals, or inside words."""
    traces = draw.choice((*NAMES, *ADDRESSES, *PHONES, "01632 960876"))
    named = draw.choice((traces, traces.upper(), traces.lower(), f"{traces}s", f"x{traces}"))
    words = [draw.choice(FILLERS), draw.choice(("", named, named)), draw.choice(FILLERS)]
    if draw.random() < 0.1:
        words.insert(draw.randrange(3), "long " * draw.randrange(60, 120))
    return " ".join(words).strip() if draw.random() < 0.8 else named


def drawn_words(draw: Random) -> dict[str, str]:
    """Return the texts of a booking; most are blank, as they are in a club."""
    return {
        "holder": drawn_text(draw) if draw.random() < 0.4 else "U12 Kestrels",
        "note": drawn_text(draw) if draw.random() < 0.3 else "",
        "overruled": drawn_text(draw) if draw.random() < 0.2 else "",
    }


def fill(connection: Connection, draw: Random) -> None:
    """Put bookings with drawn texts beside the club's own, and entries of the journal."""
    bookings, entries = (Base.metadata.tables[name] for name in SAID)
    like = dict(
        connection.execute(select(bookings).order_by(bookings.c.id)).mappings().first() or {}
    )
    of = connection.execute(select(entries.c.change_id)).scalars().first()
    del like["id"]
    for n in range(HAND):
        row = like | {"uid": f"drawn-{n}@x.example", "is_withdrawn": True} | drawn_words(draw)
        number = connection.execute(insert(bookings).values(row)).inserted_primary_key
        state: dict[str, Any] = {"pitch_id": 1, "is_fixed": False, "purpose": "hire"}
        before = state | drawn_words(draw) if draw.random() < 0.3 else None
        why: dict[str, Any] = {WHY: ["closed", drawn_text(draw)]} if draw.random() < 0.3 else {}
        after = state | drawn_words(draw) | draw.choice(({}, {WHY: []}, why))
        values = {"change_id": of, "booking_id": number and number[0]}
        connection.execute(insert(entries).values(values | {"before": before, "after": after}))


def drawn_traces(draw: Random) -> Traces:
    """Return what somebody may be recognised by."""
    kinds = [draw.sample(some, draw.randrange(most + 1)) for some, most in
             ((NAMES, 2), (ADDRESSES, 1), (PHONES, 1))]  # fmt: skip
    found = Traces(*map(tuple, kinds))
    return found or Traces(("Jo Ashby",))


def read_through(connection: Connection, traces: Traces) -> set[tuple[str, int, tuple[str, ...]]]:
    """Return what speaks of somebody in the largest tables, each text of each row read."""
    found: set[tuple[str, int, tuple[str, ...]]] = set()
    for name in SAID:
        marks = MARKS[name]
        for row in connection.execute(select(Base.metadata.tables[name])).mappings():
            looked = marks.holding(*LOOKED_INTO)
            columns = tuple(one for one in looked if speaks(marks.columns[one], row[one], traces))
            if columns:
                found.add((name, row["id"], columns))
    return found


def looked_up(connection: Connection, traces: Traces) -> set[tuple[str, int, tuple[str, ...]]]:
    """Return the same as it is found for the page."""
    known = Known(Subject(typed=traces), "", traces, traces, ())
    rows = [one for one in rows_about(connection, known) if one.table in SAID]
    found = {(one.table, one.row["id"], one.columns) for one in rows}
    assert len(found) == len(rows)
    return found


@pytest.mark.parametrize("seed", range(4))
def test_all_is_found_that_reading_every_text_finds(club_store: Store, seed: int) -> None:
    """Free text that names somebody as typed included, long texts and other scripts as well."""
    draw = seeded(seed)
    with club_store.write() as session:
        fill(session.connection(), draw)
    with club_store.read() as session:
        connection = session.connection()
        tried = [*(drawn_traces(draw) for _ in range(12)), Traces(NAMES, ADDRESSES, PHONES)]
        by_index = 0
        for traces in tried:
            assert looked_up(connection, traces) == read_through(connection, traces), traces
            by_index += texts_like(connection, "booking", traces.patterns()) is not None
        assert by_index >= 3  # a name in another script is like everything, for a database
        assert any(read_through(connection, traces) for traces in tried)


def test_too_many_texts_are_read_row_by_row(
    club_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A club in which nearly every booking has words of its own is looked through as well."""
    with club_store.write() as session:
        fill(session.connection(), seeded(5))
    traces = Traces(("Jo Ashby",), ("jo@ashby.example",))
    with club_store.read() as session:
        connection = session.connection()
        wanted = read_through(connection, traces)
        assert wanted
        assert texts_like(connection, "booking", traces.patterns(), 5) is None
        monkeypatch.setattr("clubplanner.services.keeping.rows_about.texts_like", lambda *_: None)
        assert looked_up(connection, traces) == wanted


def test_the_index_has_every_word_that_the_journal_keeps() -> None:
    """A text that the journal came to keep beside these would not be found by its index."""
    without = {"pitch_id", "area_id", "squad_id", "starts_at", "ends_at", "is_withdrawn",
               "is_fixed", "purpose"}  # fmt: skip
    assert set(KEPT_WORDS) == {*NOTED, WHY} - without


def test_the_texts_are_read_from_the_index(club_store: Store) -> None:
    """The database goes from text to text, and reads no row between."""
    with club_store.read() as session:
        connection = session.connection()
        kind = connection.dialect.name
        if kind == postgres.NAME:
            connection.execute(text("SET LOCAL enable_seqscan = off"))  # a small club is read whole
        explain = "EXPLAIN" if kind == postgres.NAME else "EXPLAIN QUERY PLAN"
        for table in SAID:
            asked = saying._texts(table, 1, kind).params(most=9, like_0="jo")
            words = asked.compile(connection, compile_kwargs={"literal_binds": True})
            plan = "\n".join(map(str, connection.exec_driver_sql(f"{explain} {words}")))
            assert plan.count(f"ix_{table}_said") >= (1 if kind == postgres.NAME else 2), plan
            assert "Seq Scan" not in plan


def test_a_text_longer_than_an_index_takes_is_kept(club_store: Store) -> None:
    """Words of any length are booked, and found at their very end."""
    words = "".join(chr(0x4E00 + n % 9000) for n in range(9000)) + " Jo Ashby"
    assert len(words) > LONGEST_SAID
    with club_store.write() as session:
        connection = session.connection()
        fill(connection, seeded(1))
        bookings = Base.metadata.tables["booking"]
        last = connection.execute(select(bookings.c.id).order_by(bookings.c.id.desc())).scalar()
        which = bookings.c.id == last
        connection.execute(bookings.update().where(which).values(note=words))
    with club_store.read() as session:
        found = looked_up(session.connection(), Traces(("Jo Ashby",)))
    assert any(table == "booking" and number == last for table, number, _ in found)


@pytest.mark.server
def test_a_server_of_an_earlier_version_gets_the_indexes(club_store: Store) -> None:
    """The step makes there what a new database is made with; else it would be refused."""
    with club_store.write() as session:
        for table in SAID:
            session.execute(text(f"DROP INDEX ix_{table}_said"))
        session.execute(text("UPDATE alembic_version SET version_num = '0024'"))
    migrate(club_store)
    check_store(club_store)
