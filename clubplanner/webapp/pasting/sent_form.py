"""From the form that carries a table to what was sent: corrections are put into its cells."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.domain.times.day_words import Order
from clubplanner.inputs.club_files.spoken_cells import file_cells
from clubplanner.inputs.pasting.kinds import KINDS, LEFT_OUT, SQUADS, SQUADS_OF_CLUBS
from clubplanner.inputs.pasting.understanding import Said
from clubplanner.inputs.reading.sheets import read_carried
from clubplanner.language import term
from clubplanner.services.pasting.sent import SentTable

if TYPE_CHECKING:
    from collections.abc import Iterator

    from werkzeug.datastructures import MultiDict

    from clubplanner.inputs.pasting.kinds import Kind

LONGEST = 2_000
_CELL = re.compile(r"(fix|alike)-(\d{1,5})-(\d{1,3})")
_ADDED = re.compile(r"add-(\d{1,5})-(\d{1,3})")
Rows = list[list[str]]


def read_sent(kind: str, form: MultiDict[str, str]) -> SentTable:
    """Read a table with all that was typed about it.

    Args:
        kind: What the table is about.
        form: As it was sent; whatever somebody changed in it is read as far as it goes.
    """
    about = KINDS[kind]
    rows = [list(row) for row in read_carried(form.get("table", ""))]
    heading_row = _number(form.get("heading", ""))
    is_moved = heading_row != _number(form.get("heading_was", ""))
    width = max((len(row) for row in rows), default=0)
    chosen = [form.get(f"column-{place}", LEFT_OUT) for place in range(width)]
    known = {*about.words, *SQUADS_OF_CLUBS.words} if kind == SQUADS else {*about.words}
    columns = _once_each(column if column in known else LEFT_OUT for column in chosen)
    _correct(rows, form)
    if heading_row is not None and not is_moved:
        columns = _add_columns(rows, columns, about, heading_row, form)
    return SentTable(
        kind=kind,
        rows=rows,
        heading_row=heading_row,
        columns=None if is_moved or heading_row is None else tuple(columns),
        said=Said(
            order=_order(form.get("order", "")),
            for_all=_for_all(about, form),
            left_out=frozenset(
                int(number)
                for value in form.getlist("out")
                for number in value.split()
                if number.isdecimal() and len(number) < 6
            ),
        ),
        renamed={
            name.removeprefix("was-"): value
            for name, value in form.items()
            if name.startswith("was-")
        },
        is_all=form.get("is_all") == "yes",
    )


def _number(text: str) -> int | None:
    return int(text) if text.isdecimal() and len(text) < 6 else None


def _order(text: str) -> Order:
    return Order(text) if text in set(Order) else Order.UNKNOWN


def _once_each(columns: Iterator[str]) -> list[str]:
    """Let the first column count that is taken for something."""
    found: list[str] = []
    for column in columns:
        found.append(LEFT_OUT if column in found else column)
    return found


def _for_all(about: Kind, form: MultiDict[str, str]) -> dict[str, str]:
    found = {}
    for number, column in enumerate(about.words):
        text = form.get(f"pick-all-{number}", "").strip() or form.get(f"all-{number}", "").strip()
        if text:
            found[column] = file_cells({column: text[:LONGEST]})[column]
    return found


def _correct(rows: Rows, form: MultiDict[str, str]) -> None:
    """Put what was typed or chosen into its cell, or into all of the column that say the same."""
    stood = [list(row) for row in rows]
    for name in form:
        match = _CELL.fullmatch(name)
        if not match:
            continue
        row, place = int(match[2]) - 1, int(match[3])
        text = (form.get(f"pick-{name}", "").strip() or form.get(name, "").strip())[:LONGEST]
        if not 0 <= row < len(rows):
            continue
        before = _cell(stood, row, place)
        alike = range(len(rows)) if match[1] == "alike" else [row]
        for number in alike:
            if _cell(stood, number, place) == before:
                _put(rows[number], place, text)


def _cell(rows: Rows, row: int, place: int) -> str:
    return rows[row][place] if place < len(rows[row]) else ""


def _put(row: list[str], place: int, text: str) -> None:
    row.extend([""] * (place + 1 - len(row)))
    row[place] = text


def _add_columns(
    rows: Rows, columns: list[str], about: Kind, heading_row: int, form: MultiDict[str, str]
) -> list[str]:
    """Give the table a column for what was typed row by row and it had none for."""
    names = list(about.words)
    found = list(columns)
    for field, value in form.items():
        match = _ADDED.fullmatch(field)
        text = value.strip()[:LONGEST]
        if not match or not text or int(match[2]) >= len(names):
            continue
        row, column = int(match[1]) - 1, names[int(match[2])]
        if not heading_row <= row < len(rows):
            continue
        if column not in found:
            found.append(column)
            if heading_row:
                _put(rows[heading_row - 1], len(found) - 1, term(about.words[column]))
        _put(rows[row], found.index(column), text)
    return found
