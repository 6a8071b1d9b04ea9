"""A coach's name alone in a pasted table: who is meant is asked, not guessed.

A mail address says who somebody is. A name without one is asked about where somebody of that name
is known already, or where it stands beside several squads; not where a squad's own coach is named.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import or_, select
from sqlalchemy.orm import selectinload

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.inputs.pasting.understanding import NOWHERE, ONE_PERSON, SAID_WHO, Asked
from clubplanner.language import _, quoted
from clubplanner.services.rows.people.people_rows import find_by_email, new_coach
from clubplanner.store.tables.people_tables import PersonRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.inputs.pasting.understanding import LooseTable, UnderstoodRow

COLUMN = "coach"


@dataclass(frozen=True, slots=True)
class CoachEntry:
    """A squad's coach as a table names them.

    Attributes:
        squad: The squad's name.
        row: Where, counted from 1.
        name: The coach's.
        email: From the table or the records; blank for none.
        is_own: Whether it is the squad's own coach.
        said: What was said of who it is: `ONE_PERSON`, an address, or nothing.
    """

    squad: str
    row: int
    name: str
    email: str
    is_own: bool
    said: str

    def is_settled(self, known: Sequence[PersonRow]) -> bool:
        """Tell whether it is plain who is meant, by whoever of that name is known."""
        if self.is_own or self.said:
            return True
        is_theirs = any(plain_name(p.email) == plain_name(self.email) for p in known)
        return bool(self.email) and (is_theirs or all(p.email for p in known))


def coach_entry(
    row: UnderstoodRow, cells: Mapping[str, str], stood: Mapping[str, str]
) -> CoachEntry | None:
    """Return whom a squad's first row names; None for nobody.

    Args:
        row: The row as it was understood.
        cells: What it comes to, put over what is known.
        stood: What is known of the squad.
    """
    name = row.cells.get(COLUMN, "")
    if not name:
        return None
    return CoachEntry(
        squad=cells.get("squad", ""),
        row=row.row,
        name=name,
        email=cells.get("coach e-mail", ""),
        is_own=plain_name(name) == plain_name(stood.get(COLUMN, "")),
        said=row.cells.get(SAID_WHO, ""),
    )


def add_said_coaches(session: Session, entries: Iterable[CoachEntry], now: datetime) -> None:
    """Add whoever was told from others of their name by an address that nobody has yet."""
    for entry in entries:
        is_address = entry.said not in ("", ONE_PERSON)
        if is_address and not entry.is_own and find_by_email(session, entry.said) is None:
            session.add(new_coach(entry.name, entry.said, now))
            session.flush()


def ask_who_coaches(
    session: Session, table: LooseTable, entries: Iterable[CoachEntry]
) -> list[Asked]:
    """Return a question for each name of which it is not plain who is meant."""
    place = table.at(COLUMN)
    if place == NOWHERE:
        return []
    by_name: dict[str, list[CoachEntry]] = defaultdict(list)
    for entry in entries:
        by_name[plain_name(entry.name)].append(entry)
    known = _known(session)
    asked = []
    for name, ones in by_name.items():
        asked += _ask(table, place, ones, known.get(name, ()))
    return asked


def _known(session: Session) -> dict[str, list[PersonRow]]:
    """Return by name who coaches a squad or may sign in."""
    query = select(PersonRow).where(or_(PersonRow.may_sign_in, PersonRow.squads.any()))
    found: dict[str, list[PersonRow]] = defaultdict(list)
    for person in session.scalars(query.order_by(PersonRow.id).options(_WITH_SQUADS)):
        found[plain_name(person.name)].append(person)
    return found


_WITH_SQUADS = selectinload(PersonRow.squads)


def _ask(
    table: LooseTable, place: int, entries: Sequence[CoachEntry], known: Sequence[PersonRow]
) -> list[Asked]:
    squads = tuple(dict.fromkeys(entry.squad for entry in entries))
    open_entries = [entry for entry in entries if not entry.is_settled(known)]
    if not open_entries or (not known and len(squads) == 1):
        return []
    name = open_entries[0].name
    unaddressed = [person for person in known if not person.email]
    emails = [p.email for p in known] + [e.email for e in entries]
    signs = [f"<{email}>" for email in dict.fromkeys(emails) if email]
    if len(known) == len(unaddressed) <= 1 and (unaddressed or not signs):
        signs.insert(0, ONE_PERSON)
    found = []
    for typed in dict.fromkeys(table.cell(entry.row, place) for entry in open_entries):
        rows = tuple(e.row for e in open_entries if table.cell(e.row, place) == typed)
        choices = tuple(_with_sign(typed, name, sign) for sign in signs)
        found.append(Asked(rows, place, COLUMN, typed, (_words(name, squads, known),), choices))
    return found


def _with_sign(typed: str, name: str, sign: str) -> str:
    """Put a sign behind the first name of a cell, others in it stay."""
    plain = " ".join(typed.split())
    return plain.replace(name, f"{name} {sign}", 1)


def _words(name: str, squads: Sequence[str], known: Sequence[PersonRow]) -> str:
    example = f"{name} <name@example.org>"
    if known:
        theirs = dict.fromkeys(squad.name for person in known for squad in person.squads)
        beside = f" ({', '.join(theirs)})" if theirs else ""
        return _(
            "There is a %(name)s already%(squads)s. Choose if it is the same person; if it is "
            "somebody else, write their mail address behind the name, like %(example)s.",
            name=quoted(name),
            squads=beside,
            example=example,
        )
    return _(
        "%(name)s stands beside several squads (%(squads)s) without a mail address. Choose if it "
        "is one person; if not, write a mail address behind each name in the table, like "
        "%(example)s.",
        name=quoted(name),
        squads=", ".join(squads),
        example=example,
    )
