"""The page on which a table is looked at: its columns, its questions, what it would do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from openpyxl.utils import get_column_letter

from clubplanner.domain.problems import Problem
from clubplanner.domain.times.day_words import Order
from clubplanner.inputs.club_files.spoken_cells import told_cells
from clubplanner.inputs.pasting.kinds import SQUADS, Kind
from clubplanner.inputs.pasting.understanding import NOWHERE, ONE_PERSON
from clubplanner.inputs.pasting.values import told_choices
from clubplanner.inputs.reading.sheets import write_carried
from clubplanner.language import _, ngettext, term
from clubplanner.services.pasting.sent import NEW, RENAMED, Change
from clubplanner.services.showing.choosing.choices import Choice

if TYPE_CHECKING:
    from clubplanner.inputs.pasting.understanding import Asked
    from clubplanner.services.pasting.tables import TableLook

EXAMPLES = 3
"""Cells of a column that are shown beside what it is taken for."""
MOST_ASKED = 60
MOST_CHANGES = 150
MOST_ROWS_EACH = 30


@dataclass(frozen=True, slots=True)
class ColumnShown:
    """A column of the table.

    Attributes:
        field: The name of its selection.
        letter: As spreadsheets call it.
        heading: Blank where there is none.
        examples: What stands in it, a few cells.
        value: What it is taken for; blank for left out.
    """

    field: str
    letter: str
    heading: str
    examples: tuple[str, ...]
    value: str


@dataclass(frozen=True, slots=True)
class Question:
    """Something to be answered before the table is taken in.

    Attributes:
        field: The name of the field that takes the answer.
        words: What it is about: "C7, Spieler".
        typed: What stands there.
        faults: What is not understood of it.
        choices: What may have been meant.
        rows: The rows it is about, counted from 1.
        note: What else is to be said; may be blank.
    """

    field: str
    words: str
    typed: str
    faults: tuple[str, ...]
    choices: tuple[Choice, ...]
    rows: tuple[int, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class ChangeShown:
    """What would become of a squad, match or hire.

    Attributes:
        change: What it is.
        where: Its rows, in words.
        details: What would be otherwise, a sentence each.
        field: The name of the selection that says whether it only changed its name; blank where
            that is no question.
        known_as: What it may have been called so far.
    """

    change: Change
    where: str
    details: tuple[str, ...]
    field: str = ""
    known_as: tuple[Choice, ...] = ()


@dataclass(frozen=True, slots=True)
class TablePage:
    """Everything that the page shows.

    Attributes:
        kind: "squads", "matches" or "hires".
        carried: The table, to be sent again.
        heading_row: Where the headings stand; 0 for nowhere.
        columns: One after the other.
        targets: What a column can be taken for.
        questions: About cells.
        lacking: What the table has no column for, to be said for all rows.
        more_questions: How many there are besides.
        order: Which comes first in its dates; None where that is no question.
        is_order_asked: Whether the dates do not say it themselves.
        changes: What it would do.
        more_changes: How many there are besides.
        left_out: Rows that are not taken in: number and what stands there.
        left_over: Names of squads that the table does not have.
        is_all: Whether these are to ask for nothing.
        derived: What was told from days and times, in words; blank for nothing.
        problems: Every fault, each at its field.
        can_be_taken: Whether nothing is in the way.
        shows_columns: Whether the list of columns is open.
    """

    kind: str
    carried: str
    heading_row: int
    columns: tuple[ColumnShown, ...]
    targets: tuple[Choice, ...]
    questions: tuple[Question, ...]
    lacking: tuple[Question, ...]
    more_questions: int
    order: str | None
    is_order_asked: bool
    changes: tuple[ChangeShown, ...]
    more_changes: int
    left_out: tuple[tuple[int, str], ...]
    left_over: tuple[str, ...]
    is_all: bool
    derived: str
    problems: tuple[Problem, ...]
    can_be_taken: bool
    shows_columns: bool


def page_of(look: TableLook) -> TablePage:
    """Put a look at a table into words."""
    kind, taken = look.sent.about, look.taken
    in_cells = [one for one in taken.asked if one.place != NOWHERE]
    questions = [_question(look, kind, one) for one in in_cells[:MOST_ASKED]]
    lacking = _lacking(look, kind)
    answered = {question.field: question for question in (*questions, *lacking)}
    problems = [*taken.problems] + [
        Problem(field, "asked", f"{question.words}: {fault}")
        for field, question in answered.items()
        for fault in question.faults
    ]
    is_squads = look.sent.kind == SQUADS
    return TablePage(
        kind=look.sent.kind,
        carried=write_carried(look.sent.rows),
        heading_row=look.table.heading_row,
        columns=tuple(_column(look, place) for place in range(len(look.headings))),
        targets=tuple(Choice(column, term(words)) for column, words in kind.words.items()),
        questions=tuple(questions),
        lacking=tuple(lacking),
        more_questions=len(in_cells) - len(questions),
        order=None if look.understood.order is None else look.understood.order.value,
        is_order_asked=_is_order_asked(look),
        changes=tuple(_change(look, kind, one) for one in taken.changes[:MOST_CHANGES]),
        more_changes=max(0, len(taken.changes) - MOST_CHANGES),
        left_out=tuple(
            (number, ", ".join(cell for cell in look.sent.rows[number - 1] if cell))
            for number in sorted(look.sent.said.left_out)
            if 0 < number <= len(look.sent.rows)
        ),
        left_over=tuple(name for _key, name in _still_left_over(look)) if is_squads else (),
        is_all=look.sent.is_all,
        derived=_derived(look, kind),
        problems=tuple(problems),
        can_be_taken=look.can_be_taken,
        shows_columns=look.unsure or bool(taken.problems),
    )


def field_for_all(kind: Kind, column: str) -> str:
    """Return the name of the field that says what holds for all rows in a column."""
    return f"all-{list(kind.words).index(column)}"


def _is_order_asked(look: TableLook) -> bool:
    """Tell whether some date could be read both ways; once answered, the answer stays shown."""
    order = look.understood.order
    return order is Order.UNKNOWN or (order is not None and order == look.sent.said.order)


def _still_left_over(look: TableLook) -> list[tuple[str, str]]:
    renamed = {change.was for change in look.taken.changes if change.was}
    return [entry for entry in look.taken.left_over if entry[0] not in renamed]


def _column(look: TableLook, place: int) -> ColumnShown:
    below = look.sent.rows[look.table.heading_row :]
    cells = [row[place] for row in below if place < len(row) and row[place]]
    return ColumnShown(
        field=f"column-{place}",
        letter=get_column_letter(place + 1),
        heading=look.headings[place],
        examples=tuple(dict.fromkeys(cells))[:EXAMPLES],
        value=look.table.columns[place],
    )


def _question(look: TableLook, kind: Kind, one: Asked) -> Question:
    first = one.rows[0]
    letter, heading = get_column_letter(one.place + 1), look.headings[one.place]
    cells = ", ".join(f"{letter}{row}" for row in one.rows[:MOST_ROWS_EACH])
    name = term(kind.words.get(one.column, one.column))
    sort = "alike" if len(one.rows) > 1 else "fix"
    return Question(
        field=f"{sort}-{first}-{one.place}",
        words=f"{cells} ({heading or name})",
        typed=one.typed or look.table.cell(first, one.place),
        faults=one.faults,
        choices=_choices(one),
        rows=one.rows,
        note=_about(look, kind, first),
    )


def _about(look: TableLook, kind: Kind, row: int) -> str:
    """Name the squad that a row is about."""
    return look.table.cell(row, look.table.at(kind.named_by))


def _choices(one: Asked) -> tuple[Choice, ...]:
    told = told_choices(one.column, one.choices)
    return tuple(
        Choice(value, words.replace(ONE_PERSON, _("(the same person)"))) for value, words in told
    )


def _lacking(look: TableLook, kind: Kind) -> list[Question]:
    """Return a question for each column that the table does not have and would need."""
    asked: dict[str, list[Asked]] = {}
    for one in look.taken.asked:
        if one.place == NOWHERE:
            asked.setdefault(one.column, []).append(one)
    said = look.sent.said.for_all
    columns = dict.fromkeys((*said, *asked))
    found = []
    for column in columns:
        ones = asked.get(column, [])
        rows = tuple(dict.fromkeys(row for one in ones for row in one.rows))
        found.append(
            Question(
                field=field_for_all(kind, column),
                words=term(kind.words[column]),
                typed=told_cells({column: said.get(column, "")})[column],
                faults=tuple(dict.fromkeys(fault for one in ones for fault in one.faults)),
                choices=tuple(dict.fromkeys(c for one in ones for c in _choices(one))),
                rows=rows[:MOST_ROWS_EACH],
            )
        )
    return found


def _change(look: TableLook, kind: Kind, change: Change) -> ChangeShown:
    rows = ", ".join(str(row) for row in change.rows[:MOST_ROWS_EACH])
    left_over = look.taken.left_over if change.what in (NEW, RENAMED) else ()
    return ChangeShown(
        change=change,
        where=ngettext("row %(rows)s", "rows %(rows)s", len(change.rows), rows=rows),
        details=tuple(_detail(kind, *detail) for detail in change.details),
        field=f"was-{change.key}" if left_over else "",
        known_as=tuple(Choice(key, name) for key, name in left_over),
    )


def _detail(kind: Kind, column: str, before: str, after: str) -> str:
    told = (told_cells({column: text})[column] for text in (before, after))
    was, becomes = (text or "–" for text in told)
    return f"{term(kind.words[column])}: {was} → {becomes}"


def _derived(look: TableLook, kind: Kind) -> str:
    columns = {column for row in look.understood.rows for column in row.derived}
    names = [term(words) for column, words in kind.words.items() if column in columns]
    if not names:
        return ""
    return _(
        "Not in the table, so taken from days and times where they were not known: %(columns)s.",
        columns=", ".join(names),
    )
