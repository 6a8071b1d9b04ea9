"""How to get there on pages, and who sees whom to call."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.setup.club_forms import save_venue, see_venue_form
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import KESTRELS, book
from tests.webapp.conftest import ADDRESS, sign_in

if TYPE_CHECKING:
    from flask import Flask

    from clubplanner.store.engine import Store

NUMBER = 'href="tel:01632960417"'


@pytest.fixture
def app(small: Store) -> Flask:
    """Make the app of the small club with a session of the Kestrels."""
    book(small)
    return create_app(small, Config("", ADDRESS), lambda: NOW)


def tell(store: Store, **cells: str) -> None:
    """Type how to get to Marsh Lane."""
    form = see_venue_form(store, "marsh-lane")
    save_venue(store, "marsh-lane", {**form.cells, **cells}, form.seen, NOW)


def test_a_number_is_for_who_is_signed_in_and_for_parents_if_the_club_says_so(
    app: Flask, small: Store
) -> None:
    """The coach always has it; behind the squad's address it stands only once it is let out."""
    tell(small, parking="Gravel lot", contact="Ines Varley", contact_phone="01632 960 417")
    coach = sign_in(app, small, Role.COACH, KESTRELS)
    parents, address = app.test_client(), f"/ground/{create_squad_link(small, KESTRELS, 'x', NOW)}"
    assert NUMBER in coach.get(f"/coach/squads/{KESTRELS}").text
    page = parents.get(address).text
    assert "Gravel lot" in page
    assert "Ines" not in page
    assert "01632" not in page
    tell(small, phone_for_parents="yes")
    page = parents.get(address).text
    assert NUMBER in page
    assert "Ines Varley" in page


def test_the_map_needs_no_service(app: Flask, small: Store) -> None:
    """A link that the phone's own map opens, and the same numbers to copy; no other site."""
    page = app.test_client().get(f"/ground/{create_squad_link(small, KESTRELS, 'x', NOW)}").text
    start = page.index("How to get there")
    piece = page[start : page.index("</section>", start)]
    assert 'href="geo:52.9,-1.2"' in piece
    assert ">52.9, -1.2<" in piece
    assert re.findall(r'href="(?!geo:|tel:)', piece) == []
