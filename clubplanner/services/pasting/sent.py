"""A table as it was sent with its page, and what taking it in would do."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from clubplanner.inputs.pasting.kinds import KINDS, SQUADS_OF_CLUBS, Kind
from clubplanner.inputs.pasting.training_times import POSSIBLE, SOURCES
from clubplanner.inputs.pasting.understanding import NOWHERE, Asked, LooseTable, Said, Understood

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence

    from clubplanner.domain.problems import Problem

NEW, CHANGED, RENAMED, SAME = "new", "changed", "renamed", "as it is"
_PLACE = re.compile(r"row (\d+)(?:, column (.+))?$")
ALIKE = frozenset(("no-such-squad", "no-such-pitch", "no-such-surface"))
"""Codes of faults that are the same wherever the same words stand in a column."""
COLUMN_OF_CODE = {
    "no-such-squad": "squad",
    "no-such-pitch": "pitch",
    "no-format": "format",
    "no-length": "minutes",
}
"""Where a fault of a row as a whole can be mended."""


@dataclass(frozen=True, slots=True)
class SentTable:
    """A table with all that was said about it.

    Attributes:
        kind: "squads", "matches" or "hires".
        rows: Cells as text, with every correction.
        heading_row: Where the headings stand, counted from 1, 0 for nowhere; None where the program
            is to look for it.
        columns: What each column is taken for; None where the program is to propose it.
        said: What holds for the whole table.
        renamed: Squads of the table that are known under another name: key to the key so far, or
            blank for a squad that is new.
        is_all: Whether squads that the table leaves out ask for nothing from now on.
        names_clubs: Whether it may say of which club within the record a squad is.
    """

    kind: str
    rows: Sequence[Sequence[str]]
    heading_row: int | None = None
    columns: tuple[str, ...] | None = None
    said: Said = field(default_factory=Said)
    renamed: Mapping[str, str] = field(default_factory=dict)
    is_all: bool = False
    names_clubs: bool = False

    @property
    def about(self) -> Kind:
        """What the table is about."""
        return SQUADS_OF_CLUBS if self.names_clubs else KINDS[self.kind]


@dataclass(frozen=True, slots=True)
class Change:
    """What taking the table in would do to one squad, match or hire.

    Attributes:
        name: What it is called.
        what: `NEW`, `CHANGED`, `RENAMED` or `SAME`.
        rows: Its rows in the table, counted from 1.
        as_read: What was understood of it, in words.
        details: What would be otherwise: column of our file, before, after.
        key: Of the squad; blank for others.
        was: Key of the squad that it is under another name; blank for none.
    """

    name: str
    what: str
    rows: tuple[int, ...]
    as_read: tuple[str, ...] = ()
    details: tuple[tuple[str, str, str], ...] = ()
    key: str = ""
    was: str = ""


@dataclass(frozen=True, slots=True)
class Taken:
    """What came of trying to take a table in.

    Attributes:
        changes: One after the other, as the table has them.
        asked: What has to be answered first; with any of it nothing is written.
        problems: Faults that belong to no cell of the table.
        lines: What was written, in sentences.
        left_over: Keys and names of squads that the table does not have.
    """

    changes: tuple[Change, ...]
    asked: tuple[Asked, ...] = ()
    problems: tuple[Problem, ...] = ()
    lines: tuple[str, ...] = ()
    left_over: tuple[tuple[str, str], ...] = ()


def faults_at_cells(
    problems: Collection[Problem],
    table: LooseTable,
    understood: Understood,
    row_of: Callable[[int], int | None],
    choices: Mapping[str, Sequence[str]],
) -> tuple[list[Asked], list[Problem]]:
    """Lead faults of our file back to the cells of the table that they came from.

    Args:
        problems: As the files' own reader tells them.
        table: The table.
        understood: What was understood; about what is asked already, nothing more is said.
        row_of: From a row of our file, counted from 1, to one of the table; None for a row that
            came from elsewhere.
        choices: By code of a fault: what may be meant.

    Returns:
        Questions about cells, and what belongs to none.
    """
    asked_in = {row.row: row.asked for row in understood.rows}
    found: dict[tuple[object, ...], Asked] = {}
    others: list[Problem] = []
    for problem in problems:
        match = _PLACE.search(problem.where)
        row = row_of(int(match[1])) if match else None
        column = (match[2] if match else "") or COLUMN_OF_CODE.get(problem.code, "")
        if match is None or row is None or not column:
            others.append(problem)
            continue
        if _is_asked(column, asked_in.get(row, frozenset())):
            continue
        place = place_of(table, row, column)
        typed = table.cell(row, place)
        key = (place, typed, problem.code) if problem.code in ALIKE else (row, column)
        before = found.get(key)
        rows = (*before.rows, row) if before else (row,)
        faults = before.faults if before else ()
        if problem.message not in faults:
            faults = (*faults, problem.message)
        meant = tuple(choices.get(problem.code, ()))
        found[key] = Asked(tuple(dict.fromkeys(rows)), place, column, typed, faults, meant)
    return list(found.values()), others


def _is_asked(column: str, asked: Collection[str]) -> bool:
    """Tell whether a fault only follows from what is not understood anyway."""
    when = (POSSIBLE, "preferred", "sessions a week", "minutes")
    return column in asked or (column in when and any(one in asked for one in SOURCES))


def place_of(table: LooseTable, row: int, column: str) -> int:
    """Return where a fault of a column of our file can be mended in a row; `NOWHERE` if not yet."""
    sources = SOURCES if column == POSSIBLE else (column,)
    places = [table.at(one) for one in sources]
    filled = [place for place in places if table.cell(row, place)]
    return next((p for p in (*filled, *places) if p != NOWHERE), NOWHERE)
