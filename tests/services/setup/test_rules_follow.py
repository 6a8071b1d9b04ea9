"""A venue or a pitch gets another name by form: wishes, limits and prices still mean it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.rows.snapshot import load_asks, load_club
from clubplanner.services.setup.club_forms import save_venue, see_venue_form
from clubplanner.services.setup.grounds.forms import save_pitch, see_pitch_form
from clubplanner.services.setup.loading import load_files
from clubplanner.services.setup.money_written import money_in_names
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.sharing.values.problem import Effort
from tests.builders import NOW
from tests.small_club import SETTINGS, TOP, load_small_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

RULES = """
[[limits]]
venue = "Marsh Lane"
pitch = "Top pitch"
sessions = 9

[[prices]]
venue = "marsh lane"
pitch = "TOP PITCH"
per_hour = 12

[[prices]]
venue = "Marsh Lane"
per_opening = 3
"""
SQUADS = (
    "squad,players,sessions a week,minutes,possible,wishes\n"
    'U12 Kestrels,14,1,60,Mon-Fri 17:00-21:00,"Tue 18:00-19:30 = 3; Top  pitch = 2"\n'
    'U14 Harriers,14,1,60,Mon-Fri 17:00-21:00,"{half}, Top pitch = 1; Marsh Lane = 1; Hall = 2"\n'
)


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give a small club with limits, prices and wishes."""
    load_small_club(empty_store)
    half = next(
        text.rpartition(", ")[0]
        for text in see_pitch_form(empty_store, "marsh-lane", TOP).areas
        if " half" in text
    )
    files = [
        ClubFile("club.toml", f"{SETTINGS}{RULES}".encode()),
        ClubFile("squads.csv", SQUADS.format(half=half.partition(",")[0]).encode()),
    ]
    load_files(empty_store, files, NOW)
    return empty_store


def places_wished(store: Store) -> list[str]:
    """List the places that wishes name."""
    with store.read() as session:
        return [wish.place for _, ask in load_asks(session) for wish in ask.wishes if wish.place]


def places_in_rules(store: Store) -> list[tuple[str, str]]:
    """List the places that limits and prices name."""
    with store.read() as session:
        rules = load_club(session).rules
        tariffs = money_in_names(session).tariffs
    limits = [(limit.venue, limit.pitch) for limit in rules.limits]
    return limits + [(tariff.spot.venue, tariff.spot.pitch) for tariff in tariffs]


def test_a_pitch_takes_its_wishes_limits_and_prices_along(store: Store) -> None:
    """Also a part of it, called by an end that has another name now; the share-out goes on."""
    form = see_pitch_form(store, "marsh-lane", TOP)
    cells = {**form.cells, "name": "New Ground", "start": "Mill end", "far": "Pond end"}
    save_pitch(store, "marsh-lane", TOP, cells, form.seen, NOW)
    wished = places_wished(store)
    assert wished[0] == "New Ground"
    assert wished[1] in {"Mill half, New Ground", "Pond half, New Ground"}
    assert wished[2:] == ["Marsh Lane", "Hall"], "what still means a place is left alone"
    assert places_in_rules(store) == [
        ("Marsh Lane", "New Ground"),
        ("Marsh Lane", "New Ground"),
        ("Marsh Lane", ""),
    ]
    assert run_share_out(store, "winter", Effort(seconds=1.0), NOW).number == 1


def test_a_venue_takes_them_along(store: Store) -> None:
    """Its own name, wherever it stands."""
    form = see_venue_form(store, "marsh-lane")
    save_venue(store, "marsh-lane", {**form.cells, "name": "Fen Side"}, form.seen, NOW)
    assert places_wished(store)[2] == "Fen Side"
    assert {venue for venue, _ in places_in_rules(store)} == {"Fen Side"}
    assert run_share_out(store, "winter", Effort(seconds=1.0), NOW).number == 1


def test_saving_without_a_new_name_changes_nothing(store: Store) -> None:
    """Words stay as they were typed."""
    before = places_wished(store), places_in_rules(store)
    form = see_pitch_form(store, "marsh-lane", TOP)
    save_pitch(store, "marsh-lane", TOP, {**form.cells, "portable": "3"}, form.seen, NOW)
    assert (places_wished(store), places_in_rules(store)) == before


def test_a_word_that_means_another_place_as_well_stays(store: Store) -> None:
    """Two pitches of one name: the wish then means the other one."""
    form = see_pitch_form(store, "marsh-lane", "marsh-lane-hall")
    venue = see_venue_form(store)
    cells = {**venue.cells, "name": "Hall", "lon": "-1.2", "lat": "52.9"}
    save_venue(store, "", cells, venue.seen, NOW)
    cells = {**form.cells, "name": "Gym"}
    save_pitch(store, "marsh-lane", "marsh-lane-hall", cells, form.seen, NOW)
    assert places_wished(store)[-1] == "Hall"
