"""Whatever a file holds, it is read or refused in plain words, within time and memory."""

from __future__ import annotations

import io
import time
import zipfile
from datetime import date
from functools import lru_cache, partial
from typing import TYPE_CHECKING

from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from clubplanner.inputs.pasting.contents import guess_columns
from clubplanner.inputs.pasting.headings import find_heading_row, headings_of, propose_columns
from clubplanner.inputs.pasting.kinds import KINDS
from clubplanner.inputs.pasting.understanding import ClubWords, LooseTable, Said, understand
from clubplanner.inputs.reading.sheets import read_carried, read_sheets, write_carried

if TYPE_CHECKING:
    from collections.abc import Callable

TODAY = date(2026, 11, 29)
WORDS = ClubWords(("7v7",), ("grass",), TODAY)
SECONDS = 20.0
"""Of the processor, so that other work of the machine does not count."""
TABLE = (
    "Verein;;;;;\nMannschaft;Alter;Spieler;Trainer;Tage;Zeit\n"
    "Falken;D-Jugend;16;Max Ulmer;Mo+Mi;17.30–19 Uhr\nMilane;U 11;ca. 14;Ina;Di, Do;5-7pm\n"
).encode()


def understood(data: bytes) -> int:
    """Read a file as both kinds of table; return how many rows came of it."""
    count = 0
    for sheet in read_sheets(data, "x").sheets:
        for kind in KINDS.values():
            row = find_heading_row(sheet.rows, kind.key)
            headings = headings_of(sheet.rows, row)
            columns = propose_columns(headings, kind, {})
            columns = guess_columns(columns, sheet.rows[row:], kind, TODAY)
            table = LooseTable(sheet.rows, row, columns)
            count += len(understand(table, kind, Said(), WORDS).rows)
    return count


@lru_cache(maxsize=1)
def workbook() -> bytes:
    """Return a small workbook."""
    book = Workbook()
    for line in TABLE.decode().splitlines():
        book.active.append(line.split(";"))
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def repacked(change: Callable[[str, bytes], bytes]) -> bytes:
    """Return the workbook with other contents of its parts."""
    data = io.BytesIO()
    new = zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED)
    with zipfile.ZipFile(io.BytesIO(workbook())) as old, new:
        for part in old.infolist():
            new.writestr(part.filename, change(part.filename, old.read(part)))
    return data.getvalue()


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 10_000), st.binary(max_size=4)), max_size=6))
def test_a_changed_text_is_read_or_refused(changes: list[tuple[int, bytes]]) -> None:
    """Bytes put in anywhere never end in an error of the program."""
    data = bytearray(TABLE)
    for place, piece in changes:
        data[place % len(data) : place % len(data) + 1] = piece
    understood(bytes(data))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 10_000), st.integers(0, 255)), min_size=1, max_size=4))
def test_a_broken_workbook_is_read_or_refused(changes: list[tuple[int, int]]) -> None:
    """Bytes changed anywhere in a workbook never end in an error of the program."""
    data = bytearray(workbook())
    for place, byte in changes:
        data[place % len(data)] = byte
    understood(bytes(data))


@settings(max_examples=30, deadline=None)
@given(st.lists(st.lists(st.text(max_size=12), max_size=8), max_size=8))
def test_any_cells_are_understood_or_asked_about(rows: list[list[str]]) -> None:
    """Cells of any letters, in any shape."""
    understood("\n".join("\t".join(row) for row in rows).encode("utf-8", "replace"))


@given(
    st.lists(
        st.lists(st.text(st.characters(exclude_categories=["C", "Z"]), max_size=8), max_size=5),
        max_size=5,
    )
)
def test_what_travels_with_a_form_comes_back_as_it_was(rows: list[list[str]]) -> None:
    """Quotation marks and separators in cells are no hindrance."""
    bare = [row[: max((n for n, c in enumerate(row, 1) if c), default=0)] for row in rows]
    assert [list(row) for row in read_carried(write_carried(bare))] == bare


def _blown_up(name: str, part: str, data: bytes) -> bytes:
    return b" " * 200_000_000 if part == name else data


def test_a_zip_bomb_is_refused_before_it_is_unpacked() -> None:
    """A few bytes that stand for very many are told to be too much, at once."""
    begun = time.process_time()
    for name in ("xl/worksheets/sheet1.xml", "xl/styles.xml"):
        bomb = repacked(partial(_blown_up, name))
        assert len(bomb) < 500_000
        (problem,) = read_sheets(bomb, "x.xlsx").problems
        assert "unpacks to more than is read" in problem.message
    assert time.process_time() - begun < SECONDS


def test_a_cell_far_away_asks_for_no_rectangle() -> None:
    """One cell in the last row and column costs no more than any other."""
    begun = time.process_time()
    far = b'<sheetData><row r="1048576"><c r="XFD1048576" t="inlineStr"><is><t>x</t></is></c></row>'
    data = repacked(
        lambda part, text: (
            text.replace(b"<sheetData>", far, 1).replace(b"</row><row r=", b"</row><row r=")
            if part.endswith("sheet1.xml")
            else text
        )
    )
    read_sheets(data, "x.xlsx")
    assert time.process_time() - begun < SECONDS


def test_entities_are_not_expanded() -> None:
    """A workbook that declares entities of its own is refused."""
    data = repacked(
        lambda part, text: (
            text.replace(b"<worksheet", b"<!DOCTYPE x [<!ENTITY a 'b'>]><worksheet", 1)
            if part.endswith("sheet1.xml")
            else text
        )
    )
    assert read_sheets(data, "x.xlsx").problems
    assert not read_sheets(data, "x.xlsx").sheets


def test_a_cell_of_many_pieces_takes_no_long_time() -> None:
    """The longest cell that is kept is read in a moment, whatever stands in it."""
    begun = time.process_time()
    for piece in ("Mo 17-18, ", "1", "9-", "Mo/", "(((", "u 1 ", "x " * 3, "Mo-Mo-"):
        understood(
            ("Mannschaft;Tage;Zeit;Platz;Alter;Dauer\n" + ";".join([piece * 400] * 6)).encode()
        )
    assert time.process_time() - begun < SECONDS


def test_a_carried_line_of_any_length_is_read() -> None:
    """Somebody may put any line in place of the rows that travel with a form."""
    for line in ("x" * 200_000, '"' * 200_001, "\r" + "y" * 200_000, '"' + "z\n" * 100_000):
        assert all(len(row) < 10_000 for row in read_carried(line))
