"""People: who coaches and who may sign in, to read for who keeps squads."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pydantic import Field

from clubplanner.domain.club.people import Role
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.people.people import list_people
from clubplanner.webapp.api.cursors import leaf_of
from clubplanner.webapp.api.operations import operation, pages
from clubplanner.webapp.api.values import LeafQuery, Value, example
from clubplanner.webapp.base.security import for_squads
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from clubplanner.services.people.people import PersonLine

__all__ = ["pages"]

_PERSON = {
    "number": 3,
    "name": "Robin Hale",
    "role": "coach",
    "email": "robin@example.org",
    "phone": "01234 567",
    "may_sign_in": True,
    "answers_for": ["U12 Kestrels"],
    "assists": [],
}


class PersonValue(Value):
    """An adult who coaches or may sign in."""

    model_config = example(**_PERSON)

    number: int
    name: str
    role: str = Field(description="What they do in the club: " + ", ".join(Role) + ".")
    email: str = Field(description="Blank where it is not known.")
    phone: str = Field(description="Blank where it is not known.")
    may_sign_in: bool
    answers_for: list[str] = Field(description="Names of the squads whose first coach they are.")
    assists: list[str] = Field(description="Names of those they assist.")


class PersonLeaf(Value):
    """A leaf of the people."""

    model_config = example(items=[_PERSON], next=None)

    items: list[PersonValue]
    next: str | None = Field(description="The cursor of the leaf after; none after the last.")


@operation("GET", "/people", answer=PersonLeaf, query=LeafQuery)
@for_squads
def list_persons(query: LeafQuery) -> PersonLeaf:
    """List who coaches or may sign in, by number; the secretary of a club sees its coaches."""
    leaf, following = leaf_of(_known(), lambda one: (one.person.number,), query, (int,))
    return PersonLeaf(items=[_value(one) for one in leaf], next=following)


@operation("GET", "/people/<int:number>", answer=PersonValue)
@for_squads
def see_person(number: int) -> PersonValue:
    """Show one person."""
    found = next((one for one in _known() if one.person.number == number), None)
    if found is None:
        raise MissingError(_("There is no such person, or their access has ended."))
    return _value(found)


def _known() -> tuple[PersonLine, ...]:
    state = app_state()
    return list_people(state.store, state.clock())


def _value(line: PersonLine) -> PersonValue:
    return PersonValue(
        number=line.person.number,
        name=line.person.name,
        role=line.person.role.value,
        email=line.person.email,
        phone=line.phone,
        may_sign_in=line.may_sign_in,
        answers_for=list(line.squad_names),
        assists=list(line.assisted_names),
    )
