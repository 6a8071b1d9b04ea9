"""Reading a sheet of a club's folder row by row, with every fault at its place."""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING

from clubplanner.inputs.reading.exact_cells import read_cell
from clubplanner.inputs.reading.faults import MOST_FAULTS
from clubplanner.inputs.reading.rows import read_header
from clubplanner.inputs.reading.tables import cells_by_column, split_rows
from clubplanner.language import _
from clubplanner.services.folder.sheets.sheet import NUMBER

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from clubplanner.inputs.reading.faults import Faults
    from clubplanner.services.folder.sheets.names import Names
    from clubplanner.services.folder.sheets.sheet import Sheet, Values


MOST_BLANK = 10_000


def read_sheet(
    sheet: Sheet, text: str, names: Names, faults: Faults
) -> Iterator[tuple[int, str, Values | None]]:
    """Yield the rows of a sheet, as they are read.

    Args:
        sheet: Which.
        text: The whole file.
        names: What records are called.
        faults: Gets every fault.

    Yields:
        The number of the row, counted from 1; what other sheets call it, blank where they do not;
        and its values by the columns of its table, None with a fault.
    """
    rows = enumerate(split_rows(text), start=1)
    header: list[str] | None = None
    seen: dict[str, int] = {}
    blank = 0
    try:
        for number, cells in rows:
            if not any(cells):
                blank += 1
                if blank > MOST_BLANK:
                    words = _(
                        "There are %(most)s blank rows before it; delete them", most=MOST_BLANK
                    )
                    faults.add(f"row {number}", "blank", words)
                    return
                continue
            if len(faults.found) >= MOST_FAULTS:
                return
            if header is None:
                header = read_header(number, cells, faults, sheet.header)
                if not _has_all(sheet, number, header, faults):
                    return
                continue
            by_column = cells_by_column(header, cells, number, faults)
            values = _read_row(sheet, number, by_column, names, faults)
            called = _called(sheet, number, by_column, values, seen, faults)
            yield number, called, values
    except csv.Error as fault:
        faults.add("", "not-csv", _("The file cannot be read as a table: %(fault)s", fault=fault))
    if header is None:
        words = _("The file is empty; take it out of the folder, or write its rows anew")
        faults.add("", "empty", words)


def _has_all(sheet: Sheet, number: int, header: list[str], faults: Faults) -> bool:
    missing = [column for column in sheet.header if column not in header]
    for column in missing:
        faults.add(
            f"row {number}",
            "missing-column",
            _("The column “%(column)s” is missing; add it", column=column),
        )
    return not missing


def _read_row(
    sheet: Sheet, number: int, cells: Mapping[str, str], names: Names, faults: Faults
) -> Values | None:
    values: Values = {name: make() for name, make in sheet.given.items()}
    is_whole = True
    for column in sheet.columns:
        try:
            values[column.name] = column.kind.read(cells.get(column.header, ""), names)
        except ValueError as fault:
            faults.add(f"row {number}, column {column.header}", "will-not-do", str(fault))
            is_whole = False
    if not is_whole:
        return None
    try:
        if sheet.settle is not None:
            sheet.settle(values, names)
    except ValueError as fault:
        faults.add(f"row {number}", "contradiction", str(fault))
        return None
    return values


def _called(
    sheet: Sheet,
    number: int,
    cells: Mapping[str, str],
    values: Values | None,
    seen: dict[str, int],
    faults: Faults,
) -> str:
    """Return what other sheets call a row; blank where they do not, or with a fault."""
    if not sheet.called_by:
        return ""
    header = next((c.header for c in sheet.columns if c.name == sheet.called_by), NUMBER)
    called = read_cell(cells.get(header, "")).strip()
    where = f"row {number}, column {header}"
    if not called and values is not None and header != NUMBER:
        called = str(values[sheet.called_by]).strip()
    if not called:
        faults.add(where, "missing", _("The cell is blank; write what no other row has there"))
        return ""
    if called in seen:
        words = _("“%(called)s” stands in row %(row)s already", called=called, row=seen[called])
        faults.add(where, "repeated", words)
        return ""
    seen[called] = number
    return called
