"""The file of what is kept of somebody has all of it, and is never in memory as a whole."""

from __future__ import annotations

import json
import tracemalloc
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import insert, select

from clubplanner.domain.club.persons.traces import Traces
from clubplanner.errors import MissingError
from clubplanner.services.keeping import kept_files
from clubplanner.services.keeping.kept import see_kept
from clubplanner.services.keeping.kept_files import kept_file
from clubplanner.services.keeping.part_words import WORDS
from clubplanner.services.keeping.rows_about import rows_about
from clubplanner.services.keeping.subjects import Subject, load_known
from clubplanner.services.keeping.table_words import TABLE_WORDS
from clubplanner.store.tables.base import Base
from tests.builders import NOW
from tests.services.keeping.planted import ADDRESS, NAME, plant
from tests.services.keeping.test_counting import fill
from tests.services.keeping.test_rows_about import seeded

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

NOBODY = Subject(typed=Traces(("Zoe Zett",)))


def read(store: Store, subject: Subject) -> tuple[bytes, dict[str, Any]]:
    """Return the file, and what it says."""
    with kept_file(store, subject, NOW) as file:
        data = file.read()
    return data, json.loads(data)


def add_mails(store: Store, first: int, count: int) -> None:
    """Put mails to somebody beside one that is there, an hour between them."""
    mails = Base.metadata.tables["mail"]
    with store.write() as session:
        connection = session.connection()
        row = dict(connection.execute(select(mails)).mappings().first() or {})
        del row["id"]
        about = row | {"address": ADDRESS, "name": NAME, "words": "Not taken. " * 40}
        made = row["made_at"]
        copies = [
            about | {"message_id": f"{n}@x.example", "made_at": made - timedelta(hours=n % 97)}
            for n in range(first, first + count)
        ]
        connection.execute(insert(mails), copies)


@pytest.mark.parametrize("seed", range(2))
def test_the_file_has_every_entry_that_reading_all_finds(
    lived: Store, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of each kind, the latest first, however few rows are read at once and kept in memory."""
    number = plant(lived)
    with lived.write() as session:
        fill(session.connection(), seeded(seed), number)
    subject = Subject(person=number)
    wanted = read(lived, subject)[0]
    monkeypatch.setattr(kept_files, "IN_MEMORY", 1_000)
    monkeypatch.setattr(kept_files, "AT_ONCE", 3)
    data, told = read(lived, subject)
    assert data == wanted
    with lived.read() as session:
        rows = rows_about(session.connection(), load_known(session, subject))
    shown = [one for one in rows if one.is_theirs or one.table != "person"]
    listed = [entry["entry"] for part in told["kept"] for entry in part["entries"]]
    assert sorted(listed) == sorted(TABLE_WORDS[one.table] for one in shown)
    page = see_kept(lived, subject)
    assert [one["kind"] for one in told["kept"]] == [part.told.heading for part in page.parts]
    assert [len(one["entries"]) for one in told["kept"]] == [part.count for part in page.parts]
    for part in told["kept"]:
        dates = [entry["when"] or "" for entry in part["entries"]]
        assert dates == sorted(dates, reverse=True)


def test_the_file_is_laid_out_as_json_is(lived: Store) -> None:
    """Two blanks for each level, letters of any script as they are; with nothing found, too."""
    number = plant(lived)
    for subject in (Subject(person=number), NOBODY):
        data, told = read(lived, subject)
        assert data == (json.dumps(told, ensure_ascii=False, indent=2) + "\n").encode()
    assert told["kept"] == []
    assert told["looked_for"]["names"] == ["Zoe Zett"]
    assert len(WORDS) > 10


def test_memory_does_not_grow_with_what_is_kept(
    lived: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An entry of 1,000 bytes takes a tenth of that, however many there are."""
    monkeypatch.setattr(kept_files, "IN_MEMORY", 10_000)
    subject = Subject(person=plant(lived))
    sizes, peaks = [], []
    for first, count in ((0, 500), (500, 500), (1_000, 3_000)):
        add_mails(lived, first, count)
        tracemalloc.start()
        with kept_file(lived, subject, NOW) as file:
            peaks.append(tracemalloc.get_traced_memory()[1])
            sizes.append(file.seek(0, 2))
        tracemalloc.stop()
    assert sizes[2] - sizes[1] > 3_000 * 900
    assert peaks[2] - peaks[1] < (sizes[2] - sizes[1]) / 8


def test_of_nobody_there_is_no_file(lived: Store) -> None:
    """Who is not among the people is told so; what was begun is closed."""
    with pytest.raises(MissingError):
        kept_file(lived, Subject(person=10**6), NOW)
