"""The form of a squad: filled in, kept when faulty, told when outdated."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.services.setup.squads.forms import save_squad, see_squad_form
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import KESTRELS
from tests.webapp.conftest import ADDRESS, sign_in, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE = f"/desk/squads/{KESTRELS}"


@pytest.fixture
def store(small: Store) -> Store:
    """Give the small club."""
    return small


@pytest.fixture
def desk(store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(create_app(store, Config("", ADDRESS), lambda: NOW), store)


def fields_of(client: FlaskClient, path: str) -> dict[str, str]:
    """Return the fields of a page's first form as they stand."""
    page = client.get(path).text.partition("<main")[2].partition("</form>")[0]
    found = re.findall(r'<input ([^>]*?name="([^"]+)"[^>]*? value="([^"]*)"[^>]*)', page)
    is_box = ('"radio"', '"checkbox"')
    fields = {
        name: value
        for tag, name, value in found
        if " checked" in tag or not any(box in tag for box in is_box)
    }
    fields["csrf_token"] = token(client, path)
    return fields


def test_a_squad_is_changed_by_its_form(desk: FlaskClient, store: Store) -> None:
    """What is there is filled in; saving the form as it stands changes nothing."""
    before = see_squad_form(store, KESTRELS)
    fields = fields_of(desk, PAGE)
    assert fields["possible_1"] == "Wed 18:00-19:15"
    assert fields["players"] == "14"
    assert desk.post(PAGE, data=fields).headers["Location"] == PAGE
    assert see_squad_form(store, KESTRELS) == before
    fields = fields_of(desk, PAGE)
    fields.update(squad="U12 Merlins", minutes_2="45", sessions_a_week_2="1")
    fields.update(possible_2="Fri 17:00-19:00", evenings_in_a_row_2="3")
    assert desk.post(PAGE, data=fields).headers["Location"] == "/desk/squads/u12-merlins"
    assert len(see_squad_form(store, "u12-merlins").asks) == 2
    page = desk.get("/desk/squads/u12-merlins").text
    assert re.search(r'name="evenings_in_a_row_2" type="text" value="3"', page)


def test_faults_are_told_and_everything_typed_is_kept(desk: FlaskClient) -> None:
    """At the top and at each field, of the second ask too."""
    fields = fields_of(desk, PAGE)
    fields.update(players="many", minutes_2="soon", sessions_a_week_2="1", possible_2="never")
    answer = desk.post(PAGE, data=fields)
    assert answer.status_code == 422
    for name in ("players", "minutes_2", "possible_2"):
        assert f'href="#field-{name}"' in answer.text
        assert f'id="fault-{name}"' in answer.text
    for typed in ("many", "soon", "never"):
        assert f'value="{typed}"' in answer.text


def test_the_later_one_is_told_and_can_save_again(desk: FlaskClient, store: Store) -> None:
    """The form comes back as typed, with what stands now; saved again it is done."""
    fields = fields_of(desk, PAGE)
    form = see_squad_form(store, KESTRELS)
    save_squad(store, KESTRELS, {**form.squad, "players": "20"}, form.asks, form.seen, NOW)
    late = desk.post(PAGE, data={**fields, "players": "16"})
    assert late.status_code == 409
    assert "what stands now: 20 players" in late.text
    assert 'value="16"' in late.text
    seen = re.search(r'name="seen" value="(\w+)"', late.text)
    assert seen is not None
    data = {**fields, "players": "16", "seen": seen[1], "once": ""}
    assert desk.post(PAGE, data=data).status_code == 302
    assert see_squad_form(store, KESTRELS).squad["players"] == "16"
    rest = desk.post(f"{PAGE}/rest", data={"csrf_token": token(desk, PAGE), "seen": "old"})
    assert rest.status_code == 409


def test_a_squad_is_added_and_rests(desk: FlaskClient, store: Store) -> None:
    """A new one by form; then it asks for nothing."""
    fields = fields_of(desk, "/desk/new-squad")
    fields.update(squad="Veterans", players="18", sessions_a_week_1="1", minutes_1="90")
    faulty = desk.post("/desk/new-squad", data=fields)
    assert "Days and times are missing" in faulty.text
    fields.update(possible_1="Fri 19:00-21:00")
    assert desk.post("/desk/new-squad", data=fields).headers["Location"] == "/desk/squads/veterans"
    data = {"csrf_token": fields["csrf_token"], "seen": see_squad_form(store, "veterans").seen}
    assert desk.post("/desk/squads/veterans/rest", data=data).status_code == 302
    assert see_squad_form(store, "veterans").asks == ()
    assert desk.get("/desk/squads/nobody").status_code == 404


def test_the_squads_are_there_as_a_file(desk: FlaskClient) -> None:
    """The file names its columns and holds every squad."""
    answer = desk.get("/desk/squads.csv")
    assert answer.headers["Content-Disposition"] == 'attachment; filename="squads.csv"'
    assert answer.text.startswith("squad,age group,players")
    assert "U12 Kestrels" in answer.text


def test_known_words_are_chosen_from_lists(desk: FlaskClient, store: Store) -> None:
    """Surfaces and days are ticked, several at once; a list left at no is no ask of its own."""
    fields = fields_of(desk, PAGE)
    fields |= {"needs_goal_1": "yes", "needs_light_1": "no", "priority_1": "9"}
    fields |= {"needs_goal_2": "no", "needs_light_2": "no"}
    ticked = {"surface_1": ["grass", "indoor"], "free_day_before_1": ["Sat", "Sun"]}
    assert desk.post(PAGE, data={**fields, **ticked}).headers["Location"] == PAGE
    (ask,) = see_squad_form(store, KESTRELS).asks
    assert (ask["surface"], ask["free day before"]) == ("grass, indoor", "Sat, Sun")
    assert (ask["needs goal"], ask["priority"]) == ("yes", "9")
    page = desk.get(PAGE).text
    assert re.search(r'name="surface_1" value="indoor" checked', page)
    assert re.search(r'name="free_day_before_1" value="Sun" checked', page)
    assert re.search(r'value="9" selected', page)


def test_what_is_in_no_list_is_not_lost(desk: FlaskClient) -> None:
    """A surface that no pitch has any more comes back with its fault."""
    fields = {**fields_of(desk, PAGE), "surface_1": "sand"}
    answer = desk.post(PAGE, data=fields)
    assert answer.status_code == 422
    assert re.search(r'name="surface_1" value="sand" checked', answer.text)


def test_a_coach_is_chosen_by_the_form(desk: FlaskClient, store: Store) -> None:
    """The list has everybody; a contradiction comes back with what was chosen and typed."""
    found = re.search(r'<option value="(\d+)">Sam Reed', desk.get(PAGE).text)
    assert found is not None
    fields = {**fields_of(desk, PAGE), "coach_person": found[1]}
    answer = desk.post(PAGE, data={**fields, "coach": "Nell Marsh"})
    assert answer.status_code == 422
    assert 'href="#field-coach_person"' in answer.text
    assert re.search(rf'<option value="{found[1]}" selected>', answer.text)
    assert 'value="Nell Marsh"' in answer.text
    assert desk.post(PAGE, data=fields).headers["Location"] == PAGE
    assert see_squad_form(store, KESTRELS).coach_name == "Sam Reed"
