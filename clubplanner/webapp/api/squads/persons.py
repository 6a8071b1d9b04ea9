"""People, for who keeps squads: who coaches and who may sign in, as what; added, changed, ended."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from pydantic import Field

from clubplanner.domain.club.people import Role
from clubplanner.errors import FaultyInputError, MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.people import people as records
from clubplanner.services.people.drafts import LONGEST_EMAIL, faults_of_draft
from clubplanner.services.people.letting_in import make_way_in
from clubplanner.services.people.people import PersonDraft, list_people
from clubplanner.services.rows.people.people_rows import listed_no_more
from clubplanner.webapp.api.frame.cursors import leaf_of
from clubplanner.webapp.api.frame.faults_at import at_members
from clubplanner.webapp.api.frame.operations import Done, done, operation
from clubplanner.webapp.api.frame.values import LeafQuery, Name, Number, Value, Words, example
from clubplanner.webapp.api.shared.squad_values import Phone
from clubplanner.webapp.base.security import for_squads
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from clubplanner.services.people.people import PersonLine

LEADING = frozenset({Role.SECRETARY.value, Role.CLUB_SECRETARY.value})
"""Who leads is made, changed and let in on the pages, by a person: else a token that is lost would
be worth more than what it opens, and longer."""
RoleWord = Literal["secretary", "club's secretary", "groundskeeper", "coach"]
_SAID = {
    "name": "Robin Hale",
    "role": "coach",
    "email": "robin@example.org",
    "phone": "01234 567",
    "squads": ["u12-kestrels"],
    "club": None,
}
_PERSON = {
    "number": 3,
    **_SAID,
    "may_sign_in": True,
    "answers_for": ["U12 Kestrels"],
    "assists": [],
}


class PersonValue(Value):
    """An adult who coaches or may sign in."""

    model_config = example(**_PERSON)

    number: int
    name: str
    role: RoleWord = Field(description="What they do in the club.")
    email: str = Field(description="Blank where it is not known.")
    phone: str = Field(description="Blank where it is not known.")
    may_sign_in: bool
    squads: list[str] = Field(description="Keys of the squads they coach.")
    club: int | None = Field(description="Number of the club whose secretary they are, if of one.")
    answers_for: list[str] = Field(description="Names of the squads whose first coach they are.")
    assists: list[str] = Field(description="Names of those they assist.")


class PersonWritten(Value):
    """What is said of a person."""

    model_config = example(**_SAID)

    name: Name
    role: RoleWord = Field("coach", description="What they may do.")
    email: Words = Field("", max_length=LONGEST_EMAIL)
    phone: Phone = ""
    squads: list[Name] = Field(
        default=[], max_length=200, description="Keys of the squads they coach; others go on."
    )
    club: Number | None = Field(None, description="Of the secretary of one club: its number.")

    def draft(self) -> PersonDraft:
        """Return what the services take.

        Raises:
            FaultyInputError: With every fault, at its member.
        """
        said = PersonDraft(
            self.name.strip(),
            Role(self.role),
            self.email.strip(),
            tuple(dict.fromkeys(self.squads)),
            self.phone.strip(),
            self.club if self.role == Role.CLUB_SECRETARY.value else None,
        )
        faults = faults_of_draft(said)
        if faults:
            raise at_members(FaultyInputError(faults), _member)
        return said


class WayInValue(Value):
    """A way in that works once; it is shown here and never again."""

    model_config = example(
        name="Robin Hale", address="https://club.example.org/let-in/abc", sets_password=False
    )

    name: str
    address: str = Field(description="To hand over to this person alone.")
    sets_password: bool = Field(description="Whether it sets a secretary's password.")


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
    return _value(found).seen_at(str(records.see_person(app_state().store, number).version))


@operation("POST", "/people", answer=PersonValue, status=201, takes=PersonWritten)
@for_squads
def add_person(body: PersonWritten) -> Done:
    """Let somebody sign in; a coach who is known already by name or e-mail is the same person.

    Secretaries are added on the pages alone.
    """
    _leave_to_pages(body.role)
    state = app_state()
    try:
        number = records.add_person(state.store, body.draft(), state.clock())
    except FaultyInputError as fault:
        raise at_members(fault, _member) from fault
    return done(see_person, number=number)


@operation("PUT", "/people/<int:number>", answer=PersonValue, takes=PersonWritten)
@for_squads
def change_person(number: int, body: PersonWritten, present: PersonValue) -> Done:
    """Change a person as a whole; with another role they are signed out everywhere.

    Who coaches no squad any more and may not sign in is done with: that is answered by 404.
    Secretaries are made and changed on the pages alone.
    """
    _leave_to_pages(body.role, present.role)
    state = app_state()
    version = int(present.stand)
    try:
        is_listed = records.change_person(state.store, number, version, body.draft(), state.clock())
    except FaultyInputError as fault:
        raise at_members(fault, _member) from fault
    if not is_listed:
        raise MissingError(listed_no_more(body.name))
    return done(see_person, number=number)


@operation("POST", "/people/<int:number>/end", answer=PersonLeaf, of=see_person)
@for_squads
def end_person(number: int, present: PersonValue) -> Done:
    """End a person's access at once, tokens too; squads keep them. The answer is the first leaf."""
    state = app_state()
    records.end_access(state.store, number, int(present.stand), state.clock())
    return done(list_persons)


@operation(
    "POST", "/people/<int:number>/let-in", answer=WayInValue, of=see_person, shows_secret=True
)
@for_squads
def let_in(number: int, present: PersonValue) -> WayInValue:
    """Make an address that lets a person in, once; those handed over before stop working.

    It is shown in this answer alone. Secretaries are let in on the pages alone.
    """
    state = app_state()
    _leave_to_pages(present.role)
    try:
        way = make_way_in(state.store, number, state.clock())
    except FaultyInputError as fault:
        raise at_members(fault, lambda _where: "") from fault
    address = f"{state.config.public_address}{way.path}"
    return WayInValue(name=way.name, address=address, sets_password=way.sets_password)


def _leave_to_pages(*roles: str) -> None:
    """Refuse what would make, change or let in who leads.

    Raises:
        RefusedError: If one of the roles is of those.
    """
    if LEADING.intersection(roles):
        raise RefusedError(
            _("Secretaries are added, changed and let in on the page “People”, not by a program.")
        )


def _known() -> tuple[PersonLine, ...]:
    state = app_state()
    return list_people(state.store, state.clock())


def _member(where: str) -> str:
    return where if where.startswith("/") else f"/{where}"


def _value(line: PersonLine) -> PersonValue:
    person = line.person
    return PersonValue(
        number=person.number,
        name=person.name,
        role=person.role.value,
        email=person.email,
        phone=line.phone,
        may_sign_in=line.may_sign_in,
        squads=list(line.squad_keys),
        club=None if person.scope is None else person.scope.club,
        answers_for=list(line.squad_names),
        assists=list(line.assisted_names),
    )
