"""People from the command line: who coaches, who may sign in, and how they get in."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.handing_out import cautions_about, say_addresses
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.domain.club.comparing_names import is_called
from clubplanner.domain.club.people import Role
from clubplanner.errors import FaultyInputError, MissingError
from clubplanner.services.addresses.public_address import settle_address
from clubplanner.services.people.drafts import faults_of_draft
from clubplanner.services.people.letting_in import make_way_in
from clubplanner.services.people.people import (
    PersonDraft,
    add_person,
    change_person,
    end_access,
    list_people,
    see_person,
)
from clubplanner.services.people.ways_in.passwords import create_secretary_key
from clubplanner.services.rows.named import find_squad_key
from clubplanner.services.rows.people.people_rows import listed_no_more

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context
    from clubplanner.services.people.people import PersonLine, PersonPage
    from clubplanner.store.engine import Store

ROLES = {"secretary": Role.SECRETARY, "groundskeeper": Role.GROUNDSKEEPER, "coach": Role.COACH}

role_option = click.option("--role", type=click.Choice(list(ROLES)), help="What the person does.")
email_option = click.option("--email", help="E-mail address.")
phone_option = click.option("--phone", help="Telephone number.")
squad_option = click.option(
    "--squad", "squads", multiple=True, help="A squad they coach, by key or name; again for more."
)


@click.group()
def people() -> None:
    """Who coaches and who may sign in. PERSON is a number, a name or an e-mail address."""


@people.command(name="list")
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, as_json: bool) -> None:
    """List everybody who may sign in or coaches: secretaries first, then by name."""
    lines = list_people(context.open(), present.now())
    words = [f"{line.person.number}  {_in_words(line)}" for line in lines]
    say("\n".join(words) or "Nobody yet.", [_line_value(line) for line in lines], as_json=as_json)


@people.command()
@click.argument("person")
@json_option
@click.pass_obj
@tells_faults
def show(context: Context, person: str, as_json: bool) -> None:
    """Show PERSON."""
    store = context.open()
    page = see_person(store, _find(store, person))
    words = [f"{page.person.number}  {page.person.name}, {page.person.role.value}"]
    words += [f"E-mail: {page.person.email}"] if page.person.email else []
    words += [f"Telephone: {page.phone}"] if page.phone else []
    words += [f"Coaches: {', '.join(page.squad_keys)}"] if page.squad_keys else []
    words.append("May sign in." if page.may_sign_in else "May not sign in.")
    words.append(f"Known since {page.since:%Y-%m-%d}.")
    say("\n".join(words), _page_value(page), as_json=as_json)


@people.command()
@click.argument("name")
@role_option
@email_option
@phone_option
@squad_option
@json_option
@click.pass_obj
@tells_faults
def add(
    context: Context,
    name: str,
    role: str | None,
    email: str | None,
    phone: str | None,
    squads: tuple[str, ...],
    as_json: bool,
) -> None:
    """Let NAME sign in, as a coach where no role is given; “people let-in” gives the address.

    A coach who is known already, by address or by name, is the same person and keeps their squads.
    """
    store = context.open()
    keys = tuple(find_squad_key(store, words) for words in squads)
    draft = PersonDraft(
        name.strip(), ROLES[role or "coach"], (email or "").strip(), keys, (phone or "").strip()
    )
    number = add_person(store, _checked(draft), present.now())
    page = see_person(store, number)
    say(f"{number}  {page.person.name} may sign in.", _page_value(page), as_json=as_json)


@people.command()
@click.argument("person")
@click.option("--name", help="What they are called.")
@role_option
@email_option
@phone_option
@squad_option
@click.option("--no-squads", is_flag=True, help="They coach none any more.")
@json_option
@click.pass_obj
@tells_faults
def change(
    context: Context,
    person: str,
    name: str | None,
    role: str | None,
    email: str | None,
    phone: str | None,
    squads: tuple[str, ...],
    no_squads: bool,
    as_json: bool,
) -> None:
    """Change PERSON; what is left out stays. With --squad, these squads and no others."""
    if squads and no_squads:
        raise click.UsageError("Give --squad or --no-squads, not both.")
    store = context.open()
    page = see_person(store, _find(store, person))
    known = page.person
    keys = tuple(find_squad_key(store, words) for words in squads)
    draft = PersonDraft(
        known.name if name is None else name.strip(),
        known.role if role is None else ROLES[role],
        known.email if email is None else email.strip(),
        keys if squads or no_squads else page.squad_keys,
        page.phone if phone is None else phone.strip(),
        None if known.scope is None else known.scope.club,
    )
    if change_person(store, known.number, page.version, _checked(draft), present.now()):
        after = see_person(store, known.number)
        words = f"Changed: {after.person.name}."
    else:
        person_after = replace(known, name=draft.name, role=draft.role, email=draft.email)
        after = replace(page, person=person_after, phone=draft.phone, squad_keys=())
        words = listed_no_more(draft.name)
    say(words, _page_value(after), as_json=as_json)


@people.command()
@click.argument("person")
@json_option
@click.pass_obj
@tells_faults
def withdraw(context: Context, person: str, as_json: bool) -> None:
    """Withdraw the access of PERSON at once, in every browser; squads keep them as a coach."""
    store = context.open()
    page = see_person(store, _find(store, person))
    name = end_access(store, page.person.number, page.version, present.now())
    words = f"{name} can no longer sign in."
    say(words, {"number": page.person.number, "name": name, "done": words}, as_json=as_json)


@people.command(name="let-in")
@click.argument("person", default="")
@click.option("--name", default="", hidden=True, help="As PERSON; as it was called earlier.")
@json_option
@click.pass_obj
@tells_faults
def let_in(context: Context, person: str, name: str, as_json: bool) -> None:
    """Print an address at which PERSON signs in; without PERSON, that of the secretary.

    A secretary sets a password there, once, within twelve hours: the first time it sets up the
    secretary, later it lets one in who has forgotten the password. It is printed only now.
    """
    store, now, wanted = context.open(), present.now(), person or name
    base = settle_address(context.config, store).public_address
    found = _find(store, wanted) if wanted else None
    if found is None:
        address = f"{base}/secretary/{create_secretary_key(store, now)}"
    else:
        address = f"{base}{make_way_in(store, found, now).path}"
    say_addresses(address, {"address": address}, cautions_about(context, store), as_json=as_json)


def _checked(draft: PersonDraft) -> PersonDraft:
    faults = faults_of_draft(draft)
    if faults:
        raise FaultyInputError(faults)
    return draft


def _find(store: Store, words: str) -> int:
    """Return the number of a person by number, name or e-mail address.

    Raises:
        MissingError: If there is none, or several of that name.
    """
    lines = list_people(store, present.now())
    found = [line for line in lines if words == str(line.person.number)] or [
        line for line in lines if is_called(words, line.person.name, line.person.email)
    ]
    if len(found) == 1:
        return found[0].person.number
    if found:
        several = ", ".join(f"{line.person.number} ({_in_words(line)})" for line in found)
        raise MissingError(f"Several are called “{words}”; write the number of one: {several}.")
    raise MissingError(f"There is nobody called “{words}”; “clubplanner people list” lists all.")


def _in_words(line: PersonLine) -> str:
    parts = [f"{line.person.name}, {line.person.role.value}", line.person.email, line.phone]
    if line.squad_names:
        parts.append(f"coaches {', '.join(line.squad_names)}")
    if line.assisted_names:
        parts.append(f"assists {', '.join(line.assisted_names)}")
    if not line.may_sign_in:
        parts.append("may not sign in")
    elif line.person.role is Role.SECRETARY and not line.has_password:
        parts.append("has set no password")
    if line.browsers:
        parts.append(f"signed in with {line.browsers} browser{'s' if line.browsers > 1 else ''}")
    return "; ".join(filter(None, parts))


def _line_value(line: PersonLine) -> dict[str, Any]:
    return {
        "number": line.person.number,
        "name": line.person.name,
        "role": line.person.role.value,
        "email": line.person.email,
        "phone": line.phone,
        "may_sign_in": line.may_sign_in,
        "has_password": line.has_password,
        "browsers": line.browsers,
        "squads": list(line.squad_names),
        "assists": list(line.assisted_names),
    }


def _page_value(page: PersonPage) -> dict[str, Any]:
    return {
        "number": page.person.number,
        "name": page.person.name,
        "role": page.person.role.value,
        "email": page.person.email,
        "phone": page.phone,
        "may_sign_in": page.may_sign_in,
        "squads": list(page.squad_keys),
        "since": page.since,
    }
