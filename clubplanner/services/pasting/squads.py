"""Squads of a table into the club's records: known ones brought up to date, others added."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.clubs_within import find_club, full_name
from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.terms import SURFACES
from clubplanner.domain.times.windows import told_days
from clubplanner.errors import FaultyInputError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.inputs.club_files.squads_file.squad_rows import (
    row_of_squad,
    write_table,
)
from clubplanner.inputs.club_files.squads_file.squads import (
    ASK_COLUMNS,
    CLUB,
    SQUAD_COLUMNS,
    read_squads,
)
from clubplanner.language import _
from clubplanner.services.pasting.coach_questions import (
    add_said_coaches,
    ask_who_coaches,
    coach_entry,
)
from clubplanner.services.pasting.renamed import propose_renamed
from clubplanner.services.pasting.sent import (
    CHANGED,
    NEW,
    RENAMED,
    SAME,
    Change,
    Taken,
    faults_at_cells,
)
from clubplanner.services.proposals.new_names import follow_in_proposals, load_spoken
from clubplanner.services.rows.ground.known_sizes import format_codes
from clubplanner.services.rows.ground.own_sizes import load_formats
from clubplanner.services.rows.named import find_squad
from clubplanner.services.rows.own_club import load_clubs, own_squads
from clubplanner.services.setup.loading import load_into
from clubplanner.services.setup.squads.forms import FILE, rows_of_squads, squads_with_clubs
from clubplanner.store.rights import scope_of
from clubplanner.store.tables.ground_tables import PitchRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.problems import Problem
    from clubplanner.inputs.pasting.understanding import (
        Asked,
        LooseTable,
        Understood,
        UnderstoodRow,
    )
    from clubplanner.services.pasting.sent import SentTable

Cells = dict[str, str]


@dataclass(frozen=True, slots=True)
class _Line:
    """A row of the squads file, and the row of the table it came from; None for one that stood."""

    cells: Cells
    row: int | None


def take_squads(
    session: Session, sent: SentTable, table: LooseTable, understood: Understood, now: datetime
) -> Taken:
    """Write the squads of a table, unless something is asked; the caller keeps or gives up.

    What the table says nothing of stays as it is known, squads that it leaves out too, unless it
    is said to have all of them.

    Args:
        session: The open write session.
        sent: What was sent.
        table: The table in it.
        understood: What was understood of it.
        now: The present instant.
    """
    spoken = load_spoken(session)
    understood = replace(understood, rows=_called_by_club(session, understood.rows))
    groups = _groups(understood.rows)
    stood = _rows_before(session)
    own = set(session.scalars(select(SquadRow.key).where(*own_squads(session))))
    gone = {key: rows for key, rows in stood.items() if key not in groups and key in own}
    new = {key: [one.cells for one in rows] for key, rows in groups.items() if key not in stood}
    renamed = _renamed(sent.renamed, new, gone)
    for key, old in renamed.items():
        find_squad(session, old).key = key  # the name follows with the rest, and is counted there
    session.flush()
    names = {old: groups[key][0].cells["squad"] for key, old in renamed.items()}
    before = _rows_before(session, names)
    merged = {key: _merge(rows, before.get(key, [])) for key, rows in groups.items()}
    changes = tuple(
        _change(key, lines, before.get(key), renamed.get(key, "")) for key, lines in merged.items()
    )
    ordered = _ordered(merged, before, rest=not sent.is_all)
    entries = [
        coach_entry(groups[key][0], lines[0].cells, (before.get(key) or [{}])[0])
        for key, lines in merged.items()
    ]
    named = [one for one in entries if one is not None]
    who = ask_who_coaches(session, table, named)
    add_said_coaches(session, named, now)
    understood = replace(understood, asked=(*understood.asked, *who))
    asked, problems, written = _write(session, ordered, table, understood, now)
    follow_in_proposals(session, spoken)
    left_over = tuple((key, rows[0]["squad"]) for key, rows in gone.items())
    return Taken(changes, (*understood.asked, *asked), tuple(problems), written, left_over)


def _rows_before(
    session: Session, renamed: Mapping[str, str] | None = None
) -> dict[str, list[Cells]]:
    """Return every squad's rows; what asks for nothing has one that describes it.

    Wishes about a squad that changes its name follow it: `renamed` is its new name by the key that
    it had.
    """
    rows = rows_of_squads(session, renamed)
    return {
        squad.key: rows.get(squad.key, [row_of_squad(squad)])
        for squad in squads_with_clubs(session)
    }


def _called_by_club(session: Session, rows: Sequence[UnderstoodRow]) -> tuple[UnderstoodRow, ...]:
    """Return the rows with each squad called by its club, too, where one is named or one's own."""
    scope, clubs = scope_of(session), load_clubs(session, ended=True)
    called = []
    for row in rows:
        cells = dict(row.cells)
        if scope is not None:
            cells[CLUB] = scope.club_name
        club = find_club(clubs, cells.get(CLUB, "")) if cells.get(CLUB) else None
        if club is not None and cells.get("squad"):
            cells["squad"] = full_name(club.name, cells["squad"])
        called.append(replace(row, cells=cells))
    return tuple(called)


def _groups(rows: Sequence[UnderstoodRow]) -> dict[str, list[UnderstoodRow]]:
    groups: dict[str, list[UnderstoodRow]] = {}
    for row in rows:
        groups.setdefault(key_from_name(row.cells.get("squad", "")), []).append(row)
    return groups


def _renamed(
    said: Mapping[str, str],
    new: Mapping[str, Sequence[Mapping[str, str]]],
    gone: Mapping[str, Sequence[Mapping[str, str]]],
) -> dict[str, str]:
    """Return which new squads are known ones: as it was said, else as it is proposed."""
    free = {key: rows for key, rows in gone.items() if key not in said.values()}
    open_ones = {key: rows for key, rows in new.items() if key and key not in said}
    found = {key: old for key, old in said.items() if key in new and old in gone}
    found = {key: old for key, old in found.items() if list(found.values()).count(old) == 1}
    return found | propose_renamed(open_ones, free)


def _merge(rows: Sequence[UnderstoodRow], before: Sequence[Cells]) -> list[_Line]:
    """Put what a table says of a squad over what is known of it."""
    known = dict(before[0]) if before else {}
    squad = {column: known[column] for column in SQUAD_COLUMNS if column in known}
    first = rows[0]
    _part_from_coach(squad, first.cells)
    squad |= {c: text for c, text in first.cells.items() if c in SQUAD_COLUMNS}
    asks = [{c: cells[c] for c in ASK_COLUMNS if c in cells} for cells in before]
    asks = [ask for ask in asks if any(ask.values())]
    if asks and not any(_own_ask(row) for row in rows):
        return [_Line({**squad, **ask}, first.row) for ask in asks]
    lines = []
    for number, row in enumerate(rows):
        stood = asks[number] if number < len(asks) else {}
        said = {c: t for c, t in row.cells.items() if c in ASK_COLUMNS}
        if stood:
            said = {c: text for c, text in said.items() if c not in row.derived}
            if said.get("possible", stood["possible"]) != stood["possible"]:
                stood = {**stood, "preferred": ""}  # wished within the times that were
        own = squad if row is first else _only_squad(row.cells)
        lines.append(_Line({**own, **stood, **said}, row.row))
    return lines


def _own_ask(row: UnderstoodRow) -> bool:
    return any(column in ASK_COLUMNS for column in (*row.cells, *row.asked))


def _only_squad(cells: Mapping[str, str]) -> Cells:
    return {column: text for column, text in cells.items() if column in SQUAD_COLUMNS}


def _part_from_coach(squad: Cells, said: Mapping[str, str]) -> None:
    """Forget address and number of a coach in whose place the table names somebody else."""
    name = said.get("coach", "")
    if name and plain_name(name) != plain_name(squad.get("coach", "")):
        squad.pop("coach e-mail", None)
        squad.pop("coach phone", None)


def _change(key: str, lines: Sequence[_Line], stood: Sequence[Cells] | None, was: str) -> Change:
    details = []
    for number, line in enumerate(lines):
        old = stood[number] if stood and number < len(stood) else {}
        columns = (*SQUAD_COLUMNS, *ASK_COLUMNS) if number == 0 else ASK_COLUMNS
        details += [
            (column, old.get(column, ""), line.cells.get(column, ""))
            for column in columns
            if line.cells.get(column, "") != old.get(column, "")
        ]
    fewer = stood is not None and len(lines) < len(stood)
    what = NEW if stood is None else RENAMED if was else CHANGED if details or fewer else SAME
    return Change(
        name=lines[0].cells.get("squad", ""),
        what=what,
        rows=tuple(dict.fromkeys(line.row for line in lines if line.row is not None)),
        as_read=tuple(_as_read(line.cells) for line in lines),
        details=tuple(details) if stood is not None else (),
        key=key,
        was=was,
    )


def _as_read(cells: Mapping[str, str]) -> str:
    return _(
        "%(sessions)s × %(minutes)s min, %(possible)s",
        sessions=cells.get("sessions a week") or "?",
        minutes=cells.get("minutes") or "?",
        possible=told_days(cells.get("possible") or "?"),
    )


def _ordered(
    merged: Mapping[str, list[_Line]], before: Mapping[str, list[Cells]], *, rest: bool
) -> list[_Line]:
    """Return all rows of the squads file: squads that stood in their order, then new ones."""
    found: list[_Line] = []
    for key, rows in before.items():
        if key in merged:
            found += merged[key]
        elif rest and rows[0].get("possible"):
            found += [_Line(cells, None) for cells in rows]
    return found + [line for key, own in merged.items() if key not in before for line in own]


def _write(
    session: Session,
    lines: Sequence[_Line],
    table: LooseTable,
    understood: Understood,
    now: datetime,
) -> tuple[list[Asked], list[Problem], tuple[str, ...]]:
    text = write_table(line.cells for line in lines)
    surfaces = [*session.scalars(select(PitchRow.surface).distinct().order_by(PitchRow.surface))]
    choices = {"no-such-surface": surfaces or SURFACES}

    def row_of(number: int) -> int | None:
        return lines[number - 2].row if 0 <= number - 2 < len(lines) else None

    clubs = load_clubs(session, ended=True)
    read = read_squads(text, FILE, format_codes(load_formats(session)), clubs)
    problems: Sequence[Problem] = read.problems
    if not problems and not understood.asked:
        try:
            return [], [], load_into(session, [ClubFile(FILE, text.encode())], now).lines
        except FaultyInputError as fault:
            problems = fault.problems
    return *faults_at_cells(problems, table, understood, row_of, choices), ()
