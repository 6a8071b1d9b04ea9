"""Loading a settings file again that is older than what was typed by form."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.rows.snapshot import load_club
from clubplanner.services.setup.club_forms import (
    save_club,
    save_venue,
    see_club_form,
    see_venue_form,
)
from clubplanner.services.setup.loading import load_files
from clubplanner.store.tables.ground_tables import VenueRow
from tests.builders import NOW
from tests.small_club import SETTINGS

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

MARSH_LANE = "marsh-lane"
TYPED = {
    "way_in": "Through the gate beside the school",
    "parking": "Behind the clubhouse",
    "contact": "Jo Field",
    "contact_phone": "0123 456",
    "phone_for_parents": "yes",
    "place": "52.95,-1.25",
    "address": "Marsh Lane 4, Alderby",
}


def _venue(store: Store) -> dict[str, object]:
    with store.read() as session:
        row = session.scalars(select(VenueRow)).one()
        names = ("way_in", "parking", "contact", "contact_phone", "phone_for_parents", "address")
        return {name: getattr(row, name) for name in (*names, "lon", "lat")}


def _type(store: Store) -> None:
    form = see_venue_form(store, MARSH_LANE)
    save_venue(store, MARSH_LANE, {**form.cells, **TYPED}, form.seen, NOW)


def _load(store: Store, text: str) -> None:
    load_files(store, [ClubFile("settings.toml", text.encode())], NOW)


def _without(*keys: str) -> str:
    lines = SETTINGS.splitlines()
    return "\n".join(line for line in lines if line.partition(" ")[0] not in keys)


def test_what_an_older_file_does_not_name_stays_as_it_was_typed(small: Store) -> None:
    """The way there, the place and the address stay where the file has no word for them."""
    _type(small)
    typed = _venue(small)
    assert typed["way_in"] == TYPED["way_in"]
    _load(small, _without("address", "lon", "lat"))
    assert _venue(small) == typed


@pytest.mark.parametrize("key", ["way_in", "parking", "contact", "contact_phone", "address"])
def test_a_key_that_is_there_and_blank_empties_what_was_typed(small: Store, key: str) -> None:
    """Whoever writes a key with nothing behind it means nothing."""
    _type(small)
    _load(small, SETTINGS.replace("[[venues]]", f'[[venues]]\n{key} = ""').replace(
        'address = "Marsh Lane, Alderby"\n', ""))  # fmt: skip
    assert _venue(small)[key] == ""


def test_a_place_in_the_file_counts(small: Store) -> None:
    """What the file says of the place holds over what was typed."""
    _type(small)
    _load(small, SETTINGS)
    assert (_venue(small)["lon"], _venue(small)["lat"]) == (-1.2, 52.9)


def test_the_clubs_language_stays_where_the_file_names_none(small: Store) -> None:
    """A club that chose German by form does not speak English after an older file."""
    form = see_club_form(small)
    save_club(small, {**form.cells, "language": "de"}, form.seen, NOW)
    _load(small, SETTINGS)
    with small.read() as session:
        assert load_club(session).language == "de"
