"""All that is kept of somebody as one file (JSON), made in parts: nowhere are all rows at once.

The kinds come one after the other in the file, and the rows table by table from the database. So
each entry is written to a file without a name as it is read, which is in memory while it is small;
only where it stands there is kept, and when it was. From there the entries go into the file in
their order.
"""

from __future__ import annotations

import json
import tempfile
from array import array
from itertools import islice
from typing import IO, TYPE_CHECKING, Any

from clubplanner.language import _, term
from clubplanner.services.keeping.kept import dated, plain, speaking
from clubplanner.services.keeping.part_words import told_of
from clubplanner.services.keeping.rows_about import each_row_about
from clubplanner.services.keeping.subjects import load_known
from clubplanner.services.keeping.table_words import TABLE_WORDS
from clubplanner.services.rows.club.keeping_rows import load_keeping
from clubplanner.store.personal import MARKS
from clubplanner.store.personal_kinds import Holds, Part
from clubplanner.store.tables.club_tables import ClubRow

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.persons.traces import Traces
    from clubplanner.services.keeping.rows_about import RowAbout
    from clubplanner.services.keeping.subjects import Known, Subject
    from clubplanner.store.engine import Store

IN_MEMORY = 2_000_000
"""Bytes of a file that is not on disk yet."""
AT_ONCE = 50
"""Rows of a table in memory: a proposal has a third of a million letters."""


def kept_file(store: Store, subject: Subject, now: datetime) -> IO[bytes]:
    """Return all that is kept of somebody as JSON, open at its beginning.

    Of entries that are theirs it has everything but secrets; of others' entries, which may speak of
    other people as well, what speaks of them.

    Raises:
        MissingError: If they are not there (any more).
    """
    file = _nameless()
    try:
        with store.read() as session, _nameless() as scratch:
            for piece in _pieces(session, load_known(session, subject), scratch, now):
                file.write(piece)  # `writelines` would have all of it in memory first
    except BaseException:
        file.close()
        raise
    file.seek(0)
    return file


def _nameless() -> IO[bytes]:
    """Return a file that nobody else can open, and that is gone when it is closed."""
    return tempfile.SpooledTemporaryFile(IN_MEMORY)


class _Entries:
    """Entries of a kind, written one after the other to a file that others are written to, too."""

    def __init__(self, file: IO[bytes]) -> None:
        self._file = file
        self._dates: dict[str, str] = {}
        self._ats: list[str] = []
        self._starts, self._lengths = array("Q"), array("Q")

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self._ats)

    def add(self, at: str, entry: dict[str, Any]) -> None:
        """Write an entry of some date or instant, blank if there is none, at the file's end."""
        data = _as_json(entry)
        self._ats.append(self._dates.setdefault(at, at))
        self._starts.append(self._file.tell())
        self._lengths.append(len(data))
        self._file.write(data)

    def latest_first(self) -> Iterator[bytes]:
        """Yield all of them; nothing may be added any more."""
        for n in sorted(range(len(self)), key=self._ats.__getitem__, reverse=True):
            self._file.seek(self._starts[n])
            yield self._file.read(self._lengths[n])


def _read_entries(session: Session, known: Known, scratch: IO[bytes]) -> dict[Part, _Entries]:
    """Read all entries and write them to a file; return where they are, of each kind found."""
    entries = {part: _Entries(scratch) for part in Part}
    rows = each_row_about(session.connection(), known, AT_ONCE)
    while batch := list(islice(rows, AT_ONCE)):
        for one, at in dated(session, batch):
            entries[MARKS[one.table].part].add(plain(at) or "", _entry(one, at, known.own))
    return {part: listed for part, listed in entries.items() if len(listed)}


def _head(session: Session, known: Known, now: datetime) -> dict[str, Any]:
    club = session.get(ClubRow, 1)
    return {
        "club": "" if club is None else club.name,
        "as_of": plain(now),
        "looked_for": {
            "names": known.own.names,
            "mail_addresses": known.own.addresses,
            "telephone_numbers": known.own.phones,
        },
    }


def _pieces(session: Session, known: Known, scratch: IO[bytes], now: datetime) -> Iterator[bytes]:
    """Yield what `json.dumps` would make of all of it, with two blanks for each level."""
    entries, keeping = _read_entries(session, known, scratch), load_keeping(session)
    yield _opened(_head(session, known, now), "kept", 0)
    between = b""
    for part, listed in entries.items():
        told = told_of(part, keeping)
        words = {
            "kind": told.heading,
            "what": told.what,
            "why": told.why,
            "how_long": told.how_long,
            "who_sees_it": told.who,
        }
        yield between + _line(4) + _opened(words, "entries", 4)
        for n, data in enumerate(listed.latest_first()):
            yield (b"," if n else b"") + _line(8) + _indented(data, 8)
        yield _line(6) + b"]" + _line(4) + b"}"
        between = b","
    yield (_line(2) if entries else b"") + b"]\n}\n"


def _opened(values: dict[str, Any], key: str, indent: int) -> bytes:
    """Return an object as far as the first entry of a list, which is its last value."""
    return _indented(_as_json({**values, key: []}).removesuffix(b"]\n}"), indent)


def _as_json(value: dict[str, Any]) -> bytes:
    return json.dumps(value, ensure_ascii=False, indent=2).encode()


def _indented(data: bytes, indent: int) -> bytes:
    """Return JSON further in; inside texts no line ends."""
    return data.replace(b"\n", _line(indent))


def _line(indent: int) -> bytes:
    return b"\n" + b" " * indent


def _entry(one: RowAbout, at: datetime | date | None, traces: Traces) -> dict[str, Any]:
    entry: dict[str, Any] = {"entry": term(TABLE_WORDS[one.table]), "when": plain(at)}
    marks = MARKS[one.table].columns
    for name, value in one.row.items():
        holds = marks[name]
        if holds is Holds.SECRET:
            if one.is_theirs and value is not None:
                entry[name] = _("kept as a secret that nobody can read")
        elif name in one.columns and holds in (Holds.VALUES, Holds.FILE) and not one.is_theirs:
            entry[name] = list(speaking(holds, value, traces))
        elif one.is_theirs or name in one.columns:
            entry[name] = plain(value)
    return entry
