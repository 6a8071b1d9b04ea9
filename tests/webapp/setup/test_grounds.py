"""Grounds at the desk: the club, venues and pitches by form, and as files."""

from __future__ import annotations

import html
import io
import json
import re
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select, update

from clubplanner.config import Config
from clubplanner.services.setup.grounds.kinds import kind_cells
from clubplanner.store.tables.ground_tables import VenueRow
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import TOP, book, kept_bookings, load_small_club
from tests.webapp.conftest import ADDRESS, sign_in, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

    from clubplanner.store.engine import Store

VENUE = "marsh-lane"
PITCH = f"/desk/grounds/{VENUE}/{TOP}"
NEW_PITCH = {"name": "Back field", "surface": "grass", "length": "60", "width": "40"}


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club with one session on a third of Top pitch."""
    load_small_club(empty_store)
    book(empty_store)
    return empty_store


@pytest.fixture
def desk(store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(create_app(store, Config("", ADDRESS), lambda: NOW), store)


def form_of(desk: FlaskClient, path: str) -> dict[str, str]:
    """Return what the form of a page would send, as a browser does."""
    page = desk.get(path).text
    start = re.search(r'<form method="post"[^>]*novalidate', page)
    assert start is not None, f"{path} has no form"
    form = page[start.end() : page.index("</form>", start.end())]
    values: dict[str, str] = {}
    for found in re.finditer(r"<input[^>]*>", form):
        tag = found[0]
        name = re.search(r'name="([^"]+)"', tag)
        value = re.search(r'value="([^"]*)"', tag)
        if name is None or ('type="checkbox"' in tag and " checked" not in tag):
            continue
        values[name[1]] = html.unescape(value[1]) if value else ""
    for found in re.finditer(r'<select[^>]*name="([^"]+)".*?</select>', form, re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', found[0])
        values[found[1]] = chosen[1] if chosen else ""
    return values


def _send(desk: FlaskClient, path: str, values: dict[str, str], act: str = "save") -> TestResponse:
    data = {**values, "act": act, "csrf_token": token(desk, "/me")}
    data.pop("once", None)
    return desk.post(path, data=data)


def test_the_list_draws_every_pitch(desk: FlaskClient) -> None:
    """Venue by venue, with a way to each form and to the file."""
    page = desk.get("/desk/grounds").text
    assert page.count("<svg") >= 2
    assert PITCH in page
    assert f"/desk/grounds/{VENUE}/file.geojson" in page


def test_saving_a_form_as_it_was_shown_changes_nothing(desk: FlaskClient, store: Store) -> None:
    """The pitch reads back the same, and its booking stays."""
    before = desk.get(f"/desk/grounds/{VENUE}/file.geojson").data
    answer = _send(desk, PITCH, form_of(desk, PITCH))
    assert answer.status_code == 302
    assert desk.get(f"/desk/grounds/{VENUE}/file.geojson").data == before
    assert len(kept_bookings(store)) == 1


def test_a_pitch_is_drawn_before_it_is_saved(desk: FlaskClient) -> None:
    """The second button shows the drawing; nothing is kept yet."""
    path = f"/desk/grounds/{VENUE}/new-pitch"
    look = _send(desk, path, {**NEW_PITCH, "cut_thirds": "yes"}, act="look")
    assert look.status_code == 200
    assert "As typed, not saved yet" in look.text
    assert "4 parts that can be booked" in look.text
    assert 'value="Back field"' in look.text
    assert "Back field" not in desk.get("/desk/grounds").text


def test_a_new_pitch_is_added_and_renamed(desk: FlaskClient) -> None:
    """It comes last at its venue; its address follows its name."""
    answer = _send(desk, f"/desk/grounds/{VENUE}/new-pitch", {**NEW_PITCH, "cut_halves": "yes"})
    assert answer.headers["Location"] == f"/desk/grounds/{VENUE}/{VENUE}-back-field"
    values = form_of(desk, answer.headers["Location"])
    assert values["length"] == "60"
    renamed = _send(desk, answer.headers["Location"], {**values, "name": "Far field"})
    assert renamed.headers["Location"].endswith("-far-field")
    page = desk.get("/desk/grounds").text
    assert "Far field" in page
    assert "Back field" not in page


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"length": "wide"}, "length", "will not do; enter a number"),
        ({"name": ""}, "name", "Fill this in"),
        ({"goal_1_x": "300", "goal_1_y": "1"}, "name", "stands off the pitch"),
        ({"length": "1", "width": "1"}, "length", "3 to 400"),
    ],
)
def test_faults_stand_at_their_fields_and_nothing_typed_is_lost(
    desk: FlaskClient, change: dict[str, str], field: str, words: str
) -> None:
    """A summary on top leads to each field."""
    values = {**NEW_PITCH, "far": 'The "<b>" end', **change}
    answer = _send(desk, f"/desk/grounds/{VENUE}/new-pitch", values)
    assert answer.status_code == 422
    assert f'href="#field-{field}"' in answer.text
    assert words in answer.text
    assert html.escape('The "<b>" end', quote=True) in answer.text.replace("&#34;", "&quot;")
    assert "<b> end" not in answer.text


def test_a_part_with_bookings_is_not_dropped(desk: FlaskClient, store: Store) -> None:
    """The thirds are booked: unticking them says so and keeps everything."""
    values = form_of(desk, PITCH)
    values.pop("cut_thirds")
    answer = _send(desk, PITCH, values)
    assert answer.status_code == 422
    assert "still to come" in answer.text
    assert len(kept_bookings(store)) == 1


def test_the_later_of_two_is_told(desk: FlaskClient) -> None:
    """Nothing is written over, and what was typed stands in the form."""
    mine, theirs = form_of(desk, PITCH), form_of(desk, PITCH)
    assert _send(desk, PITCH, {**theirs, "portable": "5"}).status_code == 302
    answer = _send(desk, PITCH, {**mine, "portable": "7"})
    assert answer.status_code == 409
    assert "Somebody has changed Top pitch in the meantime" in answer.text
    assert re.search(r'name="portable"[^>]*value="7"', answer.text)
    again = dict(mine, seen=re.findall(r'name="seen" value="([^"]*)"', answer.text)[0])
    assert _send(desk, PITCH, again).status_code == 302


def test_a_pitch_is_taken_out_only_where_nothing_was_booked(desk: FlaskClient) -> None:
    """A new one can go again; one with bookings cannot."""
    seen = form_of(desk, PITCH)["seen"]
    refused = _send(desk, f"{PITCH}/out", {"seen": seen})
    assert refused.status_code == 422
    assert "there are bookings on it" in refused.text
    added = _send(desk, f"/desk/grounds/{VENUE}/new-pitch", NEW_PITCH).headers["Location"]
    stale = _send(desk, f"{added}/out", {"seen": "x"})
    assert stale.status_code == 409
    gone = _send(desk, f"{added}/out", {"seen": form_of(desk, added)["seen"]})
    assert gone.status_code == 302
    assert desk.get(added).status_code == 404
    assert desk.get("/desk/grounds/nowhere").status_code == 404
    assert desk.get("/desk/grounds/nowhere/new-pitch").status_code == 404


def test_a_venue_is_added_changed_and_renamed(desk: FlaskClient, store: Store) -> None:
    """Its pitches keep their bookings under the new name."""
    page = "/desk/new-venue"
    values = form_of(desk, page)
    faulty = _send(desk, page, {**values, "name": "Weir Park", "lon": "x", "opening": "always"})
    assert faulty.status_code == 422
    assert 'href="#field-opening"' in faulty.text
    assert 'href="#field-lon"' in faulty.text
    good = {**values, "name": "Weir Park", "lon": "-2.6", "lat": "52,3"}
    answer = _send(desk, page, good)
    assert answer.headers["Location"] == "/desk/grounds/weir-park/by-kind"
    path = f"/desk/grounds/{VENUE}"
    taken = _send(desk, path, {**form_of(desk, path), "name": "Weir Park"})
    assert taken.status_code == 422
    old = form_of(desk, path)
    assert _send(desk, path, {**old, "name": "Marsh Green"}).status_code == 302
    assert _send(desk, "/desk/grounds/marsh-green", old).status_code == 409
    assert "Marsh Green" in desk.get("/desk/evening?date=2026-11-25&venue=marsh-green").text
    assert len(kept_bookings(store)) == 1


def test_how_to_get_to_a_venue_is_typed_and_shown_again(desk: FlaskClient) -> None:
    """Way in, parking and whom to call stand in the form as they were typed; faults by field."""
    path = f"/desk/grounds/{VENUE}"
    typed = {
        "way_in": "Gate by the willow",
        "parking": "Gravel lot",
        "contact": "Ines Varley",
        "contact_phone": "01632 960 417",
        "phone_for_parents": "yes",
    }
    before = form_of(desk, path)
    faulty = _send(desk, path, {**before, **typed, "contact_phone": "ask Ines"})
    assert faulty.status_code == 422
    assert 'href="#field-contact_phone"' in faulty.text
    assert 'value="ask Ines"' in faulty.text
    assert _send(desk, path, {**before, **typed}).status_code == 302
    shown = form_of(desk, path)
    assert {name: shown[name] for name in typed} == typed
    assert _send(desk, path, before).status_code == 409, "the later of two is told"
    hidden = {name: value for name, value in shown.items() if name != "phone_for_parents"}
    assert _send(desk, path, hidden).status_code == 302
    assert "phone_for_parents" not in form_of(desk, path)
    changes = desk.get("/desk/season/changes").text
    assert "whom to call Ines Varley" in changes
    assert "01632" not in changes, "numbers are kept out of the journal"


def test_the_clubs_own_choices(desk: FlaskClient) -> None:
    """Name and zone, every fault at its field, the later of two told."""
    values = form_of(desk, "/desk/club")
    faulty = _send(desk, "/desk/club", {**values, "time_zone": "Mars", "step_minutes": "many"})
    assert faulty.status_code == 422
    assert 'href="#field-time_zone"' in faulty.text
    blank = _send(desk, "/desk/club", {**values, "name": "", "time_zone": ""})
    assert "Write what people call it." in blank.text
    assert "Write one like Europe/London." in blank.text
    assert 'href="#field-step_minutes"' in faulty.text
    assert _send(desk, "/desk/club", {**values, "name": "Marsh Rovers"}).status_code == 302
    assert _send(desk, "/desk/club", values).status_code == 409
    assert "Marsh Rovers" in desk.get("/desk/grounds").text


def test_the_club_says_how_evenings_are_filled(desk: FlaskClient) -> None:
    """Evenly at first; what is chosen stands in the form, and a word that is none is told."""
    values = form_of(desk, "/desk/club")
    assert values["evenings"] == "even"
    faulty = _send(desk, "/desk/club", {**values, "evenings": "seldom"})
    assert faulty.status_code == 422
    assert "is no way to fill evenings" in faulty.text
    assert _send(desk, "/desk/club", {**values, "evenings": "few"}).status_code == 302
    shown = form_of(desk, "/desk/club")
    assert shown["evenings"] == "few"
    older = {name: value for name, value in shown.items() if name != "evenings"}
    assert _send(desk, "/desk/club", older).status_code == 302
    assert form_of(desk, "/desk/club")["evenings"] == "few", "a page from before it was asked"


def test_a_grounds_file_is_looked_at_before_it_is_loaded(desk: FlaskClient) -> None:
    """What it would change is shown; a faulty one is told fault by fault."""
    data = json.loads(desk.get(f"/desk/grounds/{VENUE}/file.geojson").data)
    top = next(f for f in data["features"] if f["properties"].get("name") == "Top pitch")
    top["properties"]["surface"] = "sand"

    def look(text: str) -> TestResponse:
        sent = {"file": (io.BytesIO(text.encode()), "x.geojson"), "csrf_token": token(desk, "/me")}
        return desk.post("/desk/grounds/file", data=sent)

    page = look(json.dumps(data))
    assert page.status_code == 200
    assert page.text.count(">changed<") == 1
    assert page.text.count(">as it is<") == 2
    assert "sand" not in desk.get(PITCH).text
    text = re.search(r'name="text" value="([^"]*)"', page.text)
    assert text is not None
    loaded = desk.post(
        "/desk/grounds/load",
        data={"text": html.unescape(text[1]), "csrf_token": token(desk, "/me")},
        follow_redirects=True,
    )
    assert "Loaded: " in loaded.text
    assert "sand" in desk.get(PITCH).text
    faulty = look("{}")
    assert faulty.status_code == 422
    assert "There is no outline in this file" in faulty.text
    nothing = desk.post("/desk/grounds/file", data={"csrf_token": token(desk, "/me")})
    assert "Choose a grounds file first" in nothing.text
    assert (
        desk.post("/desk/grounds/load", data={"csrf_token": token(desk, "/me")}).status_code == 422
    )


def test_without_a_club_the_first_form_is_the_clubs_own(empty_store: Store) -> None:
    """A club begins with its name and time zone, then a venue, then a pitch, all by typing."""
    desk = sign_in(create_app(empty_store, Config("", ADDRESS), lambda: NOW), empty_store)
    values = {**form_of(desk, "/desk/club"), "name": "Weir Rangers"}
    assert _send(desk, "/desk/club", values).status_code == 302
    venue = {**form_of(desk, "/desk/new-venue"), "name": "Weir Park", "lon": "-2.6", "lat": "52.3"}
    path = _send(desk, "/desk/new-venue", venue).headers["Location"].replace("by-kind", "new-pitch")
    assert _send(desk, path, NEW_PITCH).status_code == 302
    assert "Back field" in desk.get("/desk/evening").text


def test_a_venues_place_is_pasted_asked_and_left_for_later(desk: FlaskClient) -> None:
    """A link or coordinates in either order; in doubt it is asked, and nothing is lost."""
    page = "/desk/new-venue"
    values = {**form_of(desk, page), "name": "Weir Park"}
    assert _send(desk, page, values).status_code == 302
    path = "/desk/grounds/weir-park"
    shown = form_of(desk, path)
    assert shown["place"] == ""
    lost = _send(desk, path, {**shown, "place": "behind the church"})
    assert lost.status_code == 422
    assert 'value="behind the church"' in lost.text
    asked = _send(desk, path, {**shown, "place": "30.5, 60.25"})
    assert asked.status_code == 422
    assert "30.5° north, 60.25° east" in asked.text
    assert "60.25° north, 30.5° east" in asked.text
    chosen = {**shown, "place": "30.5, 60.25", "place_choice": "geo:60.25,30.5"}
    assert _send(desk, path, chosen).status_code == 302
    assert form_of(desk, path)["place"] == "geo:60.25,30.5"
    link = {**form_of(desk, path), "place": "https://maps.example/#map=17/52.9100/-1.2100"}
    assert _send(desk, path, link).status_code == 302, "near the club's other venue"
    assert form_of(desk, path)["place"] == "geo:52.91,-1.21"


def test_the_first_venue_lies_where_the_clubs_time_zone_is(desk: FlaskClient, store: Store) -> None:
    """What a map gives is not asked about where one order alone is in that part of the world."""
    with store.write() as session:
        session.execute(update(VenueRow).values(lon=None, lat=None))
    page = "/desk/new-venue"
    values = {**form_of(desk, page), "name": "Weir Park", "place": "53.1, -1.2"}
    assert _send(desk, page, values).status_code == 302
    assert form_of(desk, "/desk/grounds/weir-park")["place"] == "geo:53.1,-1.2"


def test_a_kind_of_ground_fills_in_a_new_pitch(desk: FlaskClient) -> None:
    """What was typed stays; sizes, cuts and goals come with their source, nothing is saved."""
    path = f"/desk/grounds/{VENUE}/new-pitch"
    typed = {"name": "Back field", "kind": "full-size-grass-pitch", "far": "Mill end"}
    page = _send(desk, path, typed, act="kind")
    assert page.status_code == 200
    assert 'value="100.58"' in page.text
    assert 'value="Mill end"' in page.text
    assert "FA Handbook" in page.text
    assert "<svg" in page.text
    values = {**typed, **kind_cells("full-size-grass-pitch")}
    assert _send(desk, path, values).status_code == 302
    assert form_of(desk, f"/desk/grounds/{VENUE}/{VENUE}-back-field")["goal_2_x"] == "100.58"


def test_several_pitches_are_added_by_kind(desk: FlaskClient) -> None:
    """What is missing is told at its row; then all are there."""
    path = f"/desk/grounds/{VENUE}/by-kind"
    assert "FA Handbook" in desk.get(path).text
    missing = _send(desk, path, {"kind_1": "hockey-pitch", "name_2": "Back field"})
    assert missing.status_code == 422
    assert 'href="#field-kind_2"' in missing.text
    assert 'value="Back field"' in missing.text
    done = _send(desk, path, {"kind_1": "hockey-pitch", "kind_2": "four-court-hall"})
    assert done.status_code == 302
    page = desk.get("/desk/grounds").text
    assert "Hockey pitch" in page
    assert "Four-court hall" in page
    assert desk.get("/desk/grounds/moon/by-kind").status_code == 404


SPOTS = [[-1.2, 52.9], [-1.1985, 52.9], [-1.1985, 52.9006], [-1.2, 52.9006]]


def _map_file(spots: list[list[float]]) -> bytes:
    """Return an outline as a map program saves it: properties of its own, none of ours."""
    shape = {"type": "Polygon", "coordinates": [spots]}
    properties = {"stroke": "#ff0000", "name": "field 1"}
    feature = {"type": "Feature", "properties": properties, "geometry": shape}
    return json.dumps({"type": "FeatureCollection", "features": [feature]}).encode()


def _look_at(desk: FlaskClient, data: bytes) -> TestResponse:
    sent = {"csrf_token": token(desk, "/me"), "file": (io.BytesIO(data), "map.geojson")}
    return desk.post("/desk/grounds/file", data=sent, content_type="multipart/form-data")


@pytest.mark.parametrize("is_swapped", [False, True])
def test_a_map_programs_file_is_asked_about(desk: FlaskClient, *, is_swapped: bool) -> None:
    """Surface and name are asked, the order is told by the venue's place; then it is loaded."""
    spots = [[y, x] for x, y in SPOTS] if is_swapped else SPOTS
    page = _look_at(desk, _map_file(spots))
    assert page.status_code == 200
    assert 'value="field 1"' in page.text
    assert "PlainGrounds" not in page.text, "not in the field that finds anything either"
    assert "101 × 67 m" in page.text or "100.9 × 66.8 m" in page.text
    assert 'type="radio" name="order"' not in page.text
    text = html.unescape(re.findall(r'name="text" value="([^"]*)"', page.text)[0])
    order = "lat" if is_swapped else "lon"
    assert f'name="order" value="{order}"' in page.text
    path = "/desk/grounds/file/answers"
    values = {"text": text, "order": order, "venue": VENUE, "take_1": "yes", "name_1": "Back field"}
    missing = _send(desk, path, values)
    assert missing.status_code == 422
    assert 'href="#field-surface_1"' in missing.text
    assert 'value="Back field"' in missing.text
    look = _send(desk, path, {**values, "surface_1": "grass", "halves_1": "yes"})
    assert look.status_code == 200
    assert "<svg" in look.text
    assert "Back field" not in desk.get("/desk/grounds").text
    text = html.unescape(re.findall(r'name="text" value="([^"]*)"', look.text)[0])
    assert _send(desk, "/desk/grounds/load", {"text": text}).status_code == 302
    assert "Back field" in desk.get("/desk/grounds").text


def test_a_venue_without_a_place_lies_where_its_ground_was_traced(
    desk: FlaskClient, store: Store
) -> None:
    """Who loads a map file need not say the place again; a place that was said stays."""
    for place in ((None, None), (-1.21, 52.91)):
        with store.write() as session:
            session.execute(update(VenueRow).values(lon=place[0], lat=place[1]))
        values = {"text": _map_file(SPOTS).decode(), "order": "lon", "venue": VENUE,
                  "take_1": "yes", "name_1": "Back field", "surface_1": "grass"}  # fmt: skip
        look = _send(desk, "/desk/grounds/file/answers", values)
        text = html.unescape(re.findall(r'name="text" value="([^"]*)"', look.text)[0])
        assert _send(desk, "/desk/grounds/load", {"text": text}).status_code == 302
        with store.read() as session:
            found = session.execute(select(VenueRow.lon, VenueRow.lat)).one()
        assert tuple(found) == ((-1.2, 52.9) if place[0] is None else place)


def test_where_nothing_tells_the_order_it_is_asked(desk: FlaskClient) -> None:
    """Far from every venue both places are shown, as the standard has it first."""
    page = _look_at(desk, _map_file([[x + 12, y - 5] for x, y in SPOTS]))
    assert page.text.count('type="radio" name="order"') == 2
    assert "47.9° north, 10.8° east" in page.text
    assert "10.8° north, 47.9° east" in page.text


def test_what_holds_no_outline_is_told(desk: FlaskClient) -> None:
    """A file of points alone, and answers that take nothing or name no venue."""
    point = json.dumps({"type": "Point", "coordinates": [1, 2]}).encode()
    assert "There is no outline in this file" in _look_at(desk, point).text
    path = "/desk/grounds/file/answers"
    assert _send(desk, path, {"text": point.decode()}).status_code == 422
    text = _map_file(SPOTS).decode()
    assert "Choose at least one outline" in _send(desk, path, {"text": text}).text
    assert "Choose the venue" in _send(desk, path, {"text": text, "take_1": "yes"}).text
    twice = {"text": text, "take_1": "yes", "venue": VENUE, "name_1": "x" * 300, "surface_1": "ice"}
    assert _send(desk, path, twice).status_code in (200, 422)
