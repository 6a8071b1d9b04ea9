"""A table as a club has it, put into the words of our files, and every question about a cell."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from clubplanner.domain.times.day_words import Order
from clubplanner.inputs.pasting import values
from clubplanner.inputs.pasting.clocks import read_clock, read_clocks, read_duration
from clubplanner.inputs.pasting.dates import find_order, part_clock, read_date
from clubplanner.inputs.pasting.hire_times import (
    finish_hire,
    read_dates,
    read_each_date,
    read_every,
    read_times,
)
from clubplanner.inputs.pasting.kinds import (
    DAYS,
    FROM,
    HIRES,
    LEFT_OUT,
    MATCHES,
    SQUADS,
    TIMES,
    UNTIL,
    Kind,
)
from clubplanner.inputs.pasting.training_times import (
    POSSIBLE,
    SOURCES,
    derive_sessions,
    put_together,
)
from clubplanner.inputs.pasting.weekdays import read_days, read_windows

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
    from datetime import date

    from clubplanner.inputs.pasting.reading import Reading

NOWHERE = -1
"""Stands for the column of what the table does not have."""
SAYS_IF = ("needs goal", "needs light")
"""Columns in which a dash is a "no", not nothing."""
DATES = ("date", "first", "last")
DERIVED = ("sessions a week", "minutes")
ONE_PERSON = "(=)"
"""Stands behind a coach's name where somebody said that it is one person, whoever else has it."""
SAID_WHO = "said who coaches"
"""Among a row's cells, with that sign or the mail address that stood there; no column of our
file."""
_WHO = re.compile(r"(?P<name>.*?)\s*(?:<(?P<email>[^<>]*)>?|(?P<one>\(=\)))")
_SEVERAL = re.compile(r"\s*[/;&]\s*|\s+(?:und|and)\s+")


@dataclass(frozen=True, slots=True)
class LooseTable:
    """A table with what its columns are taken for.

    Attributes:
        rows: Cells as text.
        heading_row: Where the headings stand, counted from 1; 0 for nowhere.
        columns: What each column is taken for, by its name in `Kind.words`; blank for one that is
            left out.
    """

    rows: Sequence[Sequence[str]]
    heading_row: int
    columns: tuple[str, ...]

    def at(self, column: str) -> int:
        """Return where a column of ours stands, counted from 0; `NOWHERE` if it does not."""
        return self.columns.index(column) if column in self.columns else NOWHERE

    def cell(self, row: int, place: int) -> str:
        """Return a cell; blank where the row, counted from 1, is too short."""
        cells = self.rows[row - 1]
        return cells[place] if 0 <= place < len(cells) else ""


@dataclass(frozen=True, slots=True)
class Said:
    """What the person said about the table as a whole.

    Attributes:
        order: Whether day or month comes first in its dates.
        for_all: What holds in a column where a row says nothing, as typed.
        left_out: Rows that are not taken in, counted from 1.
    """

    order: Order = Order.UNKNOWN
    for_all: Mapping[str, str] = field(default_factory=dict)
    left_out: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class ClubWords:
    """What the club knows that a table may name.

    Attributes:
        format_codes: Game formats, such as "7v7".
        surfaces: Of its pitches.
        today: For dates without a year.
    """

    format_codes: Collection[str]
    surfaces: Collection[str]
    today: date


@dataclass(frozen=True, slots=True)
class Asked:
    """A question about a cell.

    Attributes:
        rows: The rows in which it stands alike, counted from 1.
        place: The column, counted from 0; `NOWHERE` where the table has none.
        column: What the column is taken for.
        typed: What stands there.
        faults: What is not understood, a sentence each.
        choices: What may have been meant, in the words of our files.
    """

    rows: tuple[int, ...]
    place: int
    column: str
    typed: str
    faults: tuple[str, ...]
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class UnderstoodRow:
    """A row in the words of our file.

    Attributes:
        row: In the table, counted from 1.
        cells: By column of our file; only those that the row says something about.
        asked: Columns about which something is asked.
        derived: Columns that were told from others.
    """

    row: int
    cells: Mapping[str, str]
    asked: frozenset[str]
    derived: frozenset[str]


@dataclass(frozen=True, slots=True)
class Understood:
    """What came of a table.

    Attributes:
        rows: Row by row.
        asked: What is not understood.
        order: Which comes first in its dates; None where that question does not arise.
    """

    rows: tuple[UnderstoodRow, ...]
    asked: tuple[Asked, ...]
    order: Order | None


def understand(table: LooseTable, kind: Kind, said: Said, words: ClubWords) -> Understood:
    """Read every cell of a table that is taken in."""
    order = _order_of(table, said)
    readers = _readers(words, order or said.order)
    if kind.key == HIRES:
        readers |= _hire_readers(words, order or said.order)
    asked: dict[tuple[int, str, tuple[str, ...]], list[tuple[int, Asked]]] = {}
    rows: list[UnderstoodRow] = []
    for number, typed in _typed_rows(table, kind, said):
        cells, unclear = _read_row(typed, kind, readers)
        derived = _finish_squad(typed, cells, unclear) if kind.key == SQUADS else frozenset()
        if kind.key == HIRES:
            finish_hire(typed, cells, unclear)
        for column, reading in unclear.items():
            place = table.at(column)
            text = typed.get(column, "")
            one = Asked((number,), place, column, text, reading.faults, reading.choices)
            key = (place, one.typed, one.faults)
            asked.setdefault(key, []).append((number, one))
        rows.append(UnderstoodRow(number, cells, frozenset(unclear), derived))
    return Understood(tuple(rows), tuple(_gathered(found) for found in asked.values()), order)


def taken_rows(table: LooseTable, said: Said) -> list[int]:
    """Return the numbers of the rows below the headings that hold something and are taken in."""
    first = table.heading_row + 1
    return [
        n
        for n, row in enumerate(table.rows[table.heading_row :], start=first)
        if any(row) and n not in said.left_out
    ]


def lone_rows(table: LooseTable) -> list[int]:
    """Return the rows below the headings that hold one cell alone: headings of parts, remarks."""
    if sum(column != LEFT_OUT for column in table.columns) < 3:
        return []
    first = table.heading_row + 1
    return [
        n
        for n, row in enumerate(table.rows[table.heading_row :], start=first)
        if sum(map(bool, row)) == 1
    ]


def _gathered(found: Sequence[tuple[int, Asked]]) -> Asked:
    first = found[0][1]
    rows = tuple(number for number, _unused in found)
    return Asked(rows, first.place, first.column, first.typed, first.faults, first.choices)


def _order_of(table: LooseTable, said: Said) -> Order | None:
    places = [table.at(column) for column in DATES if table.at(column) != NOWHERE]
    if not places:
        return None
    found = find_order(table.cell(n, place) for n in taken_rows(table, said) for place in places)
    return said.order if found is Order.UNKNOWN else found


def _typed_rows(table: LooseTable, kind: Kind, said: Said) -> Iterator[tuple[int, dict[str, str]]]:
    """Yield what each row says; a squad's or hirer's name holds for rows below that have none.

    Below a row that is left out nothing is known of whose row it is.
    """
    named = ""
    taken = set(taken_rows(table, said))
    for number in range(table.heading_row + 1, len(table.rows) + 1):
        if number not in taken:
            if table.cell(number, table.at(kind.named_by)):
                named = ""
            continue
        typed = _typed(table, kind, number, said)
        if kind.key != MATCHES:
            named = typed.get(kind.named_by) or named
            typed.update({kind.named_by: named} if named else {})
        yield number, typed


def _typed(table: LooseTable, kind: Kind, number: int, said: Said) -> dict[str, str]:
    """Return what a row says, by column, completed by what holds for all rows."""
    typed = {}
    for place, column in enumerate(table.columns):
        text = " ".join(table.cell(number, place).split())
        is_nothing = text.lower() in values.NOTHING and column not in SAYS_IF
        if column != LEFT_OUT and text and not is_nothing:
            typed[column] = text
    for column, text in said.for_all.items():
        if text.strip() and column in kind.words:
            typed.setdefault(column, text.strip())
    return typed


def _read_row(
    typed: Mapping[str, str],
    kind: Kind,
    readers: Mapping[str, Callable[[str], Reading]],
) -> tuple[dict[str, str], dict[str, Reading]]:
    cells: dict[str, str] = {}
    unclear: dict[str, Reading] = {}
    for column, text in typed.items():
        if kind.key == SQUADS and column in SOURCES:
            continue  # put together
        reader = readers.get("length" if column == "minutes" else column, values.read_text)
        reading = reader(text)
        if reading.faults:
            unclear[column] = reading
        else:
            cells[column] = reading.text
    clock = part_clock(typed.get("date", ""))[1] if kind.key == MATCHES else ""
    if clock and "kick-off" not in typed:
        cells["kick-off"] = clock
    return cells, unclear


def _finish_squad(
    typed: Mapping[str, str],
    cells: dict[str, str],
    unclear: dict[str, Reading],
) -> frozenset[str]:
    """Put together what a table parts, part what it joins; return what was told from others."""
    derived = set()
    minutes = cells.get("minutes", "")
    possible = put_together(typed, int(minutes) if minutes.isdecimal() else None)
    unclear.update(possible.asked)
    if possible.text:
        cells[POSSIBLE] = possible.text
        for column, text in zip(DERIVED, derive_sessions(possible.text), strict=True):
            if text and column not in typed:
                cells[column] = text
                derived.add(column)
    several = _SEVERAL.split(cells.get("coach", ""))
    if len(several) > 1 and all(several):
        others = [*several[1:], cells.get("assistants", "")]
        cells["coach"] = several[0]
        cells["assistants"] = "; ".join(one for one in others if one)
    _part_who(cells)
    return frozenset(derived)


def _part_who(cells: dict[str, str]) -> None:
    """Part a coach's name from what stands behind it: a mail address, or the sign for one."""
    match = _WHO.fullmatch(cells.get("coach", ""))
    if match is None or not match["name"]:
        return
    cells["coach"] = match["name"]
    cells[SAID_WHO] = match["one"] or match["email"].strip()
    if not match["one"]:
        cells["coach e-mail"] = match["email"].strip()


def _read_assistants(text: str) -> Reading:
    if "<" in text:
        return values.read_text(text)
    return values.read_text(
        "; ".join(p for p in re.split(r"\s*,\s*|" + _SEVERAL.pattern, text) if p)
    )


def _readers(words: ClubWords, order: Order) -> dict[str, Callable[[str], Reading]]:
    """Return how the cells of each column are read; others are taken as they are."""
    counts = ("players", "goalkeepers", "sessions a week", "priority", "rest days")
    return {
        **dict.fromkeys((*counts, "evenings in a row"), values.read_count),
        "age group": values.read_age_group,
        "coach e-mail": values.read_email,
        "coach phone": values.read_phone,
        "assistants": _read_assistants,
        "length": read_duration,
        "warm-up": read_duration,
        "changeover": read_duration,
        "preferred": read_windows,
        "least ground": lambda text: values.read_least_ground(text, words.format_codes),
        "surface": lambda text: values.read_surfaces(text, words.surfaces),
        "needs goal": values.read_yes,
        "needs light": values.read_yes,
        "latest finish": read_clock,
        "free day before": read_days,
        "free day after": read_days,
        "wishes": values.read_in_file_words("wishes"),
        "other squads": values.read_in_file_words("other squads"),
        "date": lambda text: read_date(text, order, words.today),
        "kick-off": read_clocks,
    }


def _hire_readers(words: ClubWords, order: Order) -> dict[str, Callable[[str], Reading]]:
    return {
        "date": lambda text: read_dates(text, order, words.today),
        "first": lambda text: read_date(text, order, words.today),
        "last": lambda text: read_date(text, order, words.today),
        DAYS: read_days,
        TIMES: read_times,
        FROM: read_clocks,
        UNTIL: read_clock,
        "every": read_every,
        "not on": lambda text: read_each_date(text, order, words.today),
        "phone": values.read_phone,
    }
