"""Another name in the squad's form: the same coach, written rightly, or somebody else?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.club.comparing_names import is_called
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.language import _
from clubplanner.services.rows.people.people_rows import find_by_email, new_coach

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.tables.people_tables import PersonRow
    from clubplanner.store.tables.squad_tables import SquadRow

SAME, OTHER = "same", "other"
"""What the form says of another name."""


def settle_coach(
    session: Session, squad: SquadRow, cells: Mapping[str, str], coach_is: str, now: datetime
) -> None:
    """Bring the first coach up to date where the form corrects what is known of them.

    What is typed then means that person when it is read as the squads file is. Where it means
    somebody else, nothing is done here, unless only their address tells the two apart.

    Args:
        session: The open write session.
        squad: The squad.
        cells: The cells about it, as typed.
        coach_is: `SAME`, `OTHER`, or blank.
        now: The present instant.

    Raises:
        FaultyInputError: If it cannot be told who is meant, or the address is somebody else's.
    """
    name = " ".join(cells.get("coach", "").split())
    email = cells.get("coach e-mail", "").strip()
    if not squad.coaches or not name:
        return
    person = squad.coaches[0].person
    has_address = find_by_email(session, email)
    is_named_so = is_called(name, person.name)
    if not coach_is:
        coach_is = _guess(person, has_address, email, is_named_so=is_named_so)
    if coach_is == SAME:
        if has_address not in (None, person):
            raise _refused("coach e-mail", "taken", _already(has_address))
        known = (person.name, person.email, person.phone)
        phone = " ".join(cells.get("coach phone", "").split())
        person.name, person.email, person.phone = name, email, phone
        if known != (name, email, phone):
            person.version += 1
    elif has_address is person:
        raise _refused("coach e-mail", "taken", _already(person))
    elif is_named_so and has_address is None:
        _tell_apart(session, name, email, now)
    session.flush()


def _guess(
    person: PersonRow, has_address: PersonRow | None, email: str, *, is_named_so: bool
) -> str:
    """Tell what is plain without being said."""
    if is_named_so and has_address in (None, person):
        return SAME
    is_known = has_address not in (None, person)
    if is_known or (email and person.email and not is_called(email, person.email)):
        return OTHER
    raise _refused(
        "coach_is",
        "who",
        _(
            "Say whether this is still %(name)s, whose name is corrected, or somebody else who "
            "takes the squad over.",
            name=person.name or person.email,
        ),
    )


def _tell_apart(session: Session, name: str, email: str, now: datetime) -> None:
    if not email:
        text = _("Enter an e-mail address, so that the two of this name can be told apart.")
        raise _refused("coach e-mail", "missing", text)
    session.add(new_coach(name, email, now))


def _already(person: PersonRow | None) -> str:
    name = "" if person is None else person.name
    return _("%(name)s already has this e-mail address; enter another one.", name=name)


def _refused(where: str, code: str, words: str) -> FaultyInputError:
    return FaultyInputError([Problem(where, code, words)])
