"""Coaches in the squad's form: chosen from people who are known, or somebody new.

Who is chosen is that person, whatever else has their name. A name that is typed and that somebody
known has, too, is asked about, not guessed: chosen from the list, or told apart by an address.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import or_, select
from sqlalchemy.orm import selectinload

from clubplanner.domain.club.comparing_names import is_called, plain_name
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.language import _, quoted
from clubplanner.services.rows.own_club import own_people, own_squads
from clubplanner.services.rows.people.coaching import set_coaches
from clubplanner.services.rows.people.people_rows import find_by_email, is_erased, new_coach
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session

WRITTEN, SOMEBODY_NEW = "", "new"
"""Instead of somebody's number: as it is written in the fields."""
FIRST, ASSISTANT = "coach_person", "assistant_person"
"""Where faults of a choice are told."""
COACH_COLUMNS = ("coach", "coach e-mail", "coach phone")


@dataclass(frozen=True, slots=True)
class ChosenCoaches:
    """Who was chosen from the lists of the form.

    Attributes:
        first: Who answers for the squad: a number, `SOMEBODY_NEW` or `WRITTEN`.
        assistant: One more who assists: a number, or blank for nobody.
    """

    first: str = WRITTEN
    assistant: str = ""


def people_to_choose(session: Session) -> tuple[Choice, ...]:
    """List who coaches or may sign in, by name; namesakes with their squads or address."""
    people = sorted(
        _known(session, *own_people(session, PersonRow.id)),
        key=lambda one: (plain_name(one.name), one.id),
    )
    called = Counter(plain_name(one.name) for one in people)
    own = set(session.scalars(select(SquadRow.id).where(*own_squads(session))))
    found = []
    for one in people:
        about = [squad.name for squad in one.squads if squad.id in own]
        if called[plain_name(one.name)] > 1 and one.email:
            about.insert(0, one.email)
        words = one.name or one.email
        found.append(Choice(str(one.id), f"{words} ({', '.join(about)})" if about else words))
    return tuple(found)


def cells_with_choice(
    session: Session,
    squad: SquadRow | None,
    cells: Mapping[str, str],
    chosen: ChosenCoaches,
    now: datetime,
) -> tuple[dict[str, str], PersonRow | None]:
    """Return the cells about a squad as its file would have them, and who was chosen.

    Args:
        session: The open write session.
        squad: The squad; None for a new one.
        cells: As typed.
        chosen: From the lists.
        now: The present instant.

    Returns:
        The cells, without first coach where one was chosen, and that person.

    Raises:
        FaultyInputError: If choice and writing contradict each other, or it is not plain who a
            name means.
    """
    typed = dict(cells)
    current = squad.coaches[0].person if squad is not None and squad.coaches else None
    if chosen.first in (WRITTEN, SOMEBODY_NEW):
        is_new = chosen.first == SOMEBODY_NEW
        _settle_written(session, current, typed, now, is_new=is_new)
        return typed, None
    person = _person(session, chosen.first, FIRST)
    if person is current:
        return typed, None
    _take_beside(session, person, current, typed)
    return {**typed, **dict.fromkeys(COACH_COLUMNS, "")}, person


def put_chosen(
    session: Session,
    squad: SquadRow,
    first: PersonRow | None,
    chosen: ChosenCoaches,
    now: datetime,
) -> None:
    """Let those who were chosen coach a squad, besides those who were written."""
    people = [one.person for one in squad.coaches]
    wanted = people if first is None else [first, *(one for one in people if one is not first)]
    if chosen.assistant:
        person = _person(session, chosen.assistant, ASSISTANT)
        wanted = [*wanted, *([] if person in wanted else [person])]
    if wanted != people:
        set_coaches(session, squad, wanted, now)


def _settle_written(
    session: Session,
    current: PersonRow | None,
    typed: Mapping[str, str],
    now: datetime,
    *,
    is_new: bool,
) -> None:
    """Ask who a name means where that is not plain; add whoever is new and of a known name."""
    name, email = _one_line(typed, "coach"), typed.get("coach e-mail", "").strip()
    if not name:
        if is_new:
            raise _refused("coach", _("Write the name of whoever is new."))
        return
    holder = find_by_email(session, email)
    if is_new and holder is not None:
        words = _("%(name)s already has this e-mail address; choose them in the list.",
                  name=holder.name)  # fmt: skip
        raise _refused(FIRST, words)
    if holder is not None or (current is not None and is_called(name, current.name) and not is_new):
        return
    namesakes = [one for one in _known(session) if is_called(name, one.name)]
    if not namesakes or (email and all(one.email for one in namesakes)):
        return
    if is_new and email:  # found by the address from now on
        session.add(new_coach(name, email, now, _one_line(typed, "coach phone")))
        session.flush()
        return
    own = set(session.scalars(select(SquadRow.id).where(*own_squads(session))))
    theirs = (s.name for one in namesakes for s in one.squads if s.id in own)
    squads = ", ".join(dict.fromkeys(theirs))
    beside = f" ({squads})" if squads else ""
    words = _(
        "There is a %(name)s already%(squads)s: choose them in the list. If it is somebody else, "
        "choose “somebody new” and write their e-mail address.",
        name=quoted(name),
        squads=beside,
    )
    raise _refused(FIRST, words)


def _take_beside(
    session: Session, person: PersonRow, current: PersonRow | None, typed: Mapping[str, str]
) -> None:
    """Take what is written beside a choice and was not known; refuse what contradicts it."""
    was = ("", "", "") if current is None else _facts(current)
    written = [_one_line(typed, column) for column in COACH_COLUMNS]
    new = [
        text if text not in ("", known, shown) else ""
        for text, known, shown in zip(written, _facts(person), was, strict=True)
    ]
    name, email, phone = new
    if name or (email and person.email) or (phone and person.phone):
        words = _(
            "%(name)s is chosen, and something else is written below: choose “as written below”, "
            "or leave it. A number or address is changed on the person’s own page.",
            name=person.name,
        )
        raise _refused(FIRST, words)
    if email and find_by_email(session, email) is not None:
        words = _("Somebody else has this e-mail address; look at the list of people.")
        raise _refused("coach e-mail", words)
    if email or phone:
        person.email, person.phone = email or person.email, phone or person.phone
        person.version += 1


def _facts(person: PersonRow) -> tuple[str, str, str]:
    return person.name, person.email, person.phone


def _one_line(typed: Mapping[str, str], column: str) -> str:
    return " ".join(typed.get(column, "").split())


def _known(session: Session, *which: ColumnElement[bool]) -> list[PersonRow]:
    query = select(PersonRow).where(or_(PersonRow.may_sign_in, PersonRow.squads.any()), *which)
    return list(session.scalars(query.options(selectinload(PersonRow.squads))))


def _person(session: Session, number: str, where: str) -> PersonRow:
    is_number = number.isdecimal() and len(number) < 10
    own = own_people(session, PersonRow.id)
    query = select(PersonRow).where(PersonRow.id == (int(number) if is_number else 0), *own)
    person = session.scalars(query).first()
    if person is None or is_erased(person):
        raise _refused(where, _("Choose somebody from the list."))
    return person


def _refused(where: str, words: str) -> FaultyInputError:
    return FaultyInputError([Problem(where, "who", words)])
