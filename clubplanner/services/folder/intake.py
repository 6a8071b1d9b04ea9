"""Writing the rows of a folder's sheets, and finding what the records would not take."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import insert, select
from sqlalchemy.exc import DBAPIError, StatementError

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.inputs.reading.faults import Faults, decode_text
from clubplanner.language import _
from clubplanner.services.folder.sheets.booked_sheets import BOOKINGS
from clubplanner.services.folder.sheets.people_sheets import PEOPLE
from clubplanner.services.folder.sheets.sheet import NUMBER
from clubplanner.services.folder.sheets.sheet_rows import read_sheet
from clubplanner.store.guard import is_clash
from clubplanner.store.tables.people_tables import PersonRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.problems import Problem
    from clubplanner.inputs.club_files.club_file import ClubFile
    from clubplanner.services.folder.sheets.names import Names
    from clubplanner.services.folder.sheets.sheet import Sheet, Values

CHUNK = 500
MOST_CLASHES = 100


@dataclass(frozen=True, slots=True)
class _Line:
    row: int
    called: str
    values: Values


class Intake:
    """Takes sheets in, one after the other; writes nothing more once there is a fault."""

    def __init__(self, session: Session, names: Names, problems: list[Problem]) -> None:
        """Begin.

        Args:
            session: The session that fills the database.
            names: What records are called; gets those of the sheets.
            problems: Gets every fault.
        """
        self._session, self._names, self._problems = session, names, problems
        self._booking_rows: dict[int, int] = {}

    def take(self, sheet: Sheet, file: ClubFile) -> None:
        """Read a sheet and write its rows."""
        faults = Faults(file.name)
        lines: list[_Line] = []
        held: defaultdict[int, list[tuple[datetime, datetime, int, int]]] = defaultdict(list)
        for row, called, values in read_sheet(sheet, decode_text(file.data), self._names, faults):
            if called:
                self._names.add(sheet.table.name, 0, called)
            if values is None:
                continue
            if sheet is BOOKINGS and not values["is_withdrawn"]:
                spot = values["starts_at"], values["ends_at"], values["cells"], row
                held[values["pitch_id"]].append(spot)
            lines.append(_Line(row, called, values))
            if len(lines) == CHUNK:
                self._write(sheet, lines, faults)
                lines = []
        self._write(sheet, lines, faults)
        if self._names.is_whole:
            _tell_overlaps(held, faults)
        self._problems += faults.found

    def place_of_booking(self, number: int) -> str:
        """Return where a booking stands in the folder."""
        row = self._booking_rows.get(number)
        return BOOKINGS.file if row is None else f"{BOOKINGS.file}, row {row}"

    def _write(self, sheet: Sheet, lines: list[_Line], faults: Faults) -> None:
        if self._problems or faults.found or not lines:
            return
        if sheet is PEOPLE:
            lines = self._known_apart(lines)
        try:
            with self._session.begin_nested():
                self._insert(sheet, lines)
        except (DBAPIError, StatementError):
            self._insert_each(sheet, lines, faults)

    def _insert(self, sheet: Sheet, lines: list[_Line]) -> None:
        values = [line.values for line in lines]
        if not values:
            return
        table = sheet.table
        if not sheet.called_by:
            self._session.execute(insert(table), values)
            return
        if sheet.called_by != NUMBER:
            self._insert_named(sheet, lines)
            return
        statement = insert(table).returning(table.c.id, sort_by_parameter_order=True)
        numbers = self._session.scalars(statement, values).all()
        for line, number in zip(lines, numbers, strict=True):
            self._note(sheet, line, number)

    def _insert_named(self, sheet: Sheet, lines: list[_Line]) -> None:
        """Insert rows many at a time, and find their numbers by what they are called."""
        table, name = sheet.table, sheet.called_by
        self._session.execute(insert(table), [line.values for line in lines])
        column = table.c[name]
        query = select(column, table.c.id).where(column.in_([ln.values[name] for ln in lines]))
        numbers = {row[0]: row[1] for row in self._session.execute(query)}
        for line in lines:
            self._note(sheet, line, numbers[line.values[name]])

    def _note(self, sheet: Sheet, line: _Line, number: int) -> None:
        self._names.add(sheet.table.name, number, line.called)
        if sheet is BOOKINGS:
            self._booking_rows[number] = line.row

    def _insert_each(self, sheet: Sheet, lines: list[_Line], faults: Faults) -> None:
        """Insert rows one by one, so that each that cannot be is told."""
        for line in lines:
            try:
                with self._session.begin_nested():
                    self._insert(sheet, [line])
            except (DBAPIError, StatementError) as fault:
                if is_clash(fault):
                    continue  # all that overlaps is told together, by both its rows
                words = _(
                    "The records do not take this row: its values do not go together, or another "
                    "row says the same already; compare it with the others"
                )
                faults.add(f"row {line.row}", "not-taken", words)

    def _known_apart(self, lines: list[_Line]) -> list[_Line]:
        """Bring those up to date who are known already, and return the others.

        Whoever takes a folder in by a page is signed in: they keep their password and their rights.
        """
        known = list(self._session.scalars(select(PersonRow).order_by(PersonRow.id)))
        new = []
        for line in lines:
            person = next((one for one in known if _is_one(one, line.values)), None)
            if person is None:
                new.append(line)
                continue
            known.remove(person)
            for name in ("name", "email", "phone", "created_at"):
                setattr(person, name, line.values[name])
            self._note(PEOPLE, line, person.id)
        self._session.flush()
        return new


def _is_one(person: PersonRow, values: Values) -> bool:
    email = plain_name(values["email"])
    if email and person.email:
        return plain_name(person.email) == email
    is_namesake = plain_name(person.name) == plain_name(values["name"])
    return is_namesake and person.role == values["role"] and person.may_sign_in


def _tell_overlaps(held: dict[int, list[Any]], faults: Faults) -> None:
    """Note bookings that hold the same ground at the same time, with both their rows."""
    found: list[tuple[int, int]] = []
    for spots in held.values():
        spots.sort()
        running: list[tuple[datetime, datetime, int, int]] = []
        for spot in spots:
            if len(found) > MOST_CLASHES:
                break
            running = [other for other in running if other[1] > spot[0]]
            found += [(spot[3], other[3]) for other in running if other[2] & spot[2]]
            running.append(spot)
    for pair in sorted((max(pair), min(pair)) for pair in found)[:MOST_CLASHES]:
        words = _(
            "Its ground is held in row %(other)s at the same time; move or withdraw one of them",
            other=pair[1],
        )
        faults.add(f"row {pair[0]}", "clash", words)
