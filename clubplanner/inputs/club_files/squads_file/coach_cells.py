"""Who coaches a squad, as the squads file says it, and back.

Assistants stand in one cell, in order, with a semicolon between them; behind a name may stand an
address: `Kim Vale <kim@x.example>; Lee Orr`.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.domain.club.persons.coaches import Coach, can_be_one, is_phone
from clubplanner.inputs.reading.faults import show_value
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterable

    from clubplanner.inputs.club_files.squads_file.squad_cells import SquadCells

COLUMNS = ("coach", "coach e-mail", "coach phone", "assistants")
EXAMPLE = "Kim Vale <kim@example.org>; Lee Orr"
MOST_ASSISTANTS = 9
LONGEST_NAME = 80

_EMAIL = re.compile(r"^[^@\s,;<>]+@[^@\s,;<>]+\.[^@\s,;<>.]+$")
_ENTRY = re.compile(r"^(?P<name>[^<>;]*)(?:<(?P<email>[^<>;]*)>)?$")


def read_coaches(row: SquadCells) -> tuple[Coach, ...]:
    """Read the coaches of a row, the first one first.

    Where only assistants are named, the first of them answers for the squad. A known name without
    an address beside it, or the other way round, stays so: who that is, is for the records to say.
    """
    first = Coach(
        " ".join(row.text("coach").split()),
        _read_email(row, "coach e-mail", row.text("coach e-mail")),
        _read_phone(row),
    )
    if any(mark in first.name for mark in ";<>"):
        text = _("Write the name of one person, without semicolon and angle brackets")
        row.fault("coach", "not-a-name", text)
    found = [first] if first.name or first.email else []
    for one in _read_assistants(row):
        if any(can_be_one(one.name, one.email, c.name, c.email) for c in found):
            row.fault(
                "assistants",
                "repeated",
                _("%(name)s stands there twice; keep one", name=show_value(one.name or one.email)),
            )
        found.append(one)
    return tuple(found)


def write_assistants(assistants: Iterable[Coach]) -> str:
    """Write assistants as their cell of the file."""
    return "; ".join(
        f"{one.name} <{one.email}>".strip() if one.email else one.name for one in assistants
    )


def _read_assistants(row: SquadCells) -> list[Coach]:
    entries = [entry.strip() for entry in row.text("assistants").split(";") if entry.strip()]
    if len(entries) > MOST_ASSISTANTS:
        text = _("These are more than %(most)s people; name fewer", most=MOST_ASSISTANTS)
        row.fault("assistants", "too-many", text)
        return []
    found = []
    for entry in entries:
        match = _ENTRY.match(entry)
        name = "" if match is None else " ".join(match["name"].split())
        if match is None or "@" in name or len(name) > LONGEST_NAME:
            row.fault(
                "assistants",
                "not-people",
                _(
                    "%(entry)s cannot be read; write names, with addresses behind them if known, "
                    "like %(example)s",
                    entry=show_value(entry),
                    example=EXAMPLE,
                ),
            )
            continue
        email = match["email"]
        found.append(
            Coach(name, "" if email is None else _read_email(row, "assistants", email.strip()))
        )
    return found


def _read_email(row: SquadCells, column: str, email: str) -> str:
    if email and not _EMAIL.match(email):
        row.fault(
            column,
            "not-an-address",
            _(
                "%(email)s is not an e-mail address; write it like name@example.org",
                email=show_value(email),
            ),
        )
    return email


def _read_phone(row: SquadCells) -> str:
    phone = " ".join(row.text("coach phone").split())
    if phone and not is_phone(phone):
        row.fault("coach phone", "not-a-number", no_phone_words(phone))
    return phone


def no_phone_words(text: str) -> str:
    """Say that a text cannot be dialled."""
    return _(
        "%(phone)s is not a telephone number; write digits, with blanks between them and "
        "a plus sign in front if you like",
        phone=show_value(text),
    )
