"""A name or an address signs one person in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.language import _
from clubplanner.services.rows.people.people_rows import all_people, find_by_email

if TYPE_CHECKING:
    from sqlalchemy.orm import Session


def refuse_taken(session: Session, number: int | None, name: str, email: str) -> None:
    """Refuse a name or e-mail that somebody else signs in with, or an e-mail of a coach.

    Args:
        session: An open session.
        number: Whose they would be; None for somebody new.
        name: As typed.
        email: As typed; may be blank.

    Raises:
        FaultyInputError: Naming the field.
    """
    problems = []
    others = [row for row in all_people(session) if row.id != number]
    for row in others:
        if plain_name(name) in {plain_name(row.name), plain_name(row.email)} - {""}:
            text = _(
                "%(name)s already signs in with this name; add an initial or a surname.",
                name=row.name,
            )
            problems.append(Problem("name", "taken", text))
    has_it = find_by_email(session, email)
    named = {plain_name(row.name) for row in others}
    if email and (plain_name(email) in named or (has_it is not None and has_it.id != number)):
        name = email if has_it is None else has_it.name
        text = _("%(name)s already has this e-mail address; enter another one.", name=name)
        problems.append(Problem("email", "taken", text))
    if problems:
        raise FaultyInputError(problems)
