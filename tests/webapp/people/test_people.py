"""The people at the desk: added, changed, ended, let in."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.domain.club.people import Role
from clubplanner.services.people.people import (
    PersonDraft,
    add_person,
    end_access,
    list_people,
    see_person,
)
from tests.builders import NOW
from tests.small_club import KESTRELS
from tests.webapp.conftest import ADDRESS, send

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


def address_on(page: str) -> str:
    """Return the path of the address a page shows to hand over."""
    found = re.search(r'class="address">([^<]+)<', page)
    assert found is not None
    return found[1].strip().removeprefix(ADDRESS)


def number_of(store: Store, name: str) -> int:
    """Return the number of somebody in the list."""
    return next(n.person.number for n in list_people(store, NOW) if n.person.name == name)


def test_people_are_added_changed_and_ended(store: Store, desk: FlaskClient) -> None:
    """The whole life of a coach's account at the desk."""
    added = send(
        desk, "/desk/people", "/desk/people", name="Robin Hale", role="coach", squads=KESTRELS
    )
    assert "Robin Hale is added" in added
    assert re.search(rf'value="{KESTRELS}" checked', added)
    number = number_of(store, "Robin Hale")
    page, seen = f"/desk/people/{number}", see_person(store, number).version
    changed = send(desk, page, page, name="Bobby Hale", role="groundskeeper", version=f"{seen}")
    assert "Bobby Hale is changed" in changed
    assert see_person(store, number).person.role is Role.GROUNDSKEEPER
    late = send(desk, page, page, name="Rob", role="coach", version=f"{seen}")
    assert "what stands now is: Bobby Hale, groundskeeper" in late
    assert 'value="Rob"' in late, "nothing typed is lost"
    assert f'name="version" value="{seen + 1}"' in late, "sent again it is done"
    ended = send(desk, f"{page}/end", page, version=f"{seen + 1}")
    assert "Bobby Hale can no longer sign in" in ended
    assert desk.get(page).status_code == 404


def test_faulty_people_come_back_as_typed(desk: FlaskClient, store: Store) -> None:
    """Every fault at its field, and what was typed and ticked stays."""
    page = send(
        desk, "/desk/people", "/desk/people", name="", email="no at", role="king", squads=KESTRELS
    )
    for field in ("name", "email", "role"):
        assert f'href="#field-{field}"' in page
        assert f'id="field-{field}"' in page
    assert 'value="no at"' in page
    assert re.search(rf'value="{KESTRELS}" checked', page)
    own = f"/desk/people/{number_of(store, 'A secretary')}"
    page = send(desk, own, own, name="A secretary", role="coach")
    assert "Open the person again" in page
    page = send(desk, own, own, name="A secretary", role="coach", version="0")
    assert "is the only secretary who can sign in" in page
    assert see_person(store, number_of(store, "A secretary")).person.role is Role.SECRETARY


def test_addresses_are_handed_over_by_kind(app: Flask, desk: FlaskClient, store: Store) -> None:
    """A coach's address lets in; a second secretary's sets a password."""
    coach = add_person(store, PersonDraft("Robin Hale", Role.COACH, ""), NOW)
    other = add_person(store, PersonDraft("Lee Park", Role.SECRETARY, ""), NOW)
    people = "/desk/people"
    path = address_on(send(desk, f"{people}/{coach}/link", f"{people}/{coach}"))
    assert "Robin Hale" in app.test_client().get(path).text
    path = address_on(send(desk, f"{people}/{other}/link", f"{people}/{other}"))
    assert 'value="Lee Park"' in app.test_client().get(path).text


def test_a_coach_who_leaves_their_last_squad_is_listed_no_more(
    store: Store, desk: FlaskClient
) -> None:
    """Who may not sign in either has no page any more: the list says so instead of an error."""
    number = add_person(store, PersonDraft("Lee Orr", Role.COACH, "", (KESTRELS,)), NOW)
    end_access(store, number, see_person(store, number).version, NOW)
    page = f"/desk/people/{number}"
    fields = {"name": "Lee Orr", "role": "coach", "version": str(see_person(store, number).version)}
    told = send(desk, page, page, **fields)
    assert "Lee Orr coaches no squad and may not sign in, so they are listed no more." in told
    assert "There is nothing here" not in told
    assert desk.get(page).status_code == 404
