"""Grounds by the API: as values, as a map, and what of it is free."""

from __future__ import annotations

import json
from datetime import datetime
from typing import TYPE_CHECKING, Any

import pytest
from shapely.geometry import shape

from clubplanner.config import Config
from clubplanner.services.setup.loading import load_files
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import HALL, HARRIERS, KESTRELS, LOW, TOP, book, small_club_files
from tests.webapp.api.programs import is_problem, program_of
from tests.webapp.conftest import ADDRESS

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.webapp.api.programs import Program

EVENING = "since=2026-11-25T18:00:00Z&until=2026-11-25T20:00:00Z"


def test_grounds_are_told_as_they_are(coach: Program) -> None:
    """Venues with pitches and parts, opening times on the club's clock."""
    (venue,) = coach.get("/venues").json["items"]
    assert venue == coach.get("/venues/marsh-lane").json
    assert (venue["name"], venue["lights_off"]) == ("Marsh Lane", "21:30")
    assert venue["opening"][0] == {"weekday": "mon", "starts": "17:00", "ends": "22:00"}
    assert [pitch["key"] for pitch in venue["pitches"]] == [TOP, LOW, HALL]
    top = venue["pitches"][0]
    assert (top["surface"], top["is_lit"], top["area_m2"]) == ("artificial", True, 6400.0)
    thirds = [one for one in top["areas"] if one["key"].startswith("third-")]
    assert sum(one["area_m2"] for one in thirds) == pytest.approx(6400, abs=0.2)
    assert is_problem(coach.get("/venues/moon"), 404, "not-there")


def test_ground_without_a_place_is_no_place_on_the_map(coach: Program) -> None:
    """A pitch given by its size alone has no geometry (RFC 7946, section 3.2)."""
    answer = coach.get("/venues/marsh-lane/ground")
    assert answer.headers["Content-Type"] == "application/geo+json"
    body = json.loads(answer.data)
    assert body["type"] == "FeatureCollection"
    assert {one["geometry"] for one in body["features"]} == {None}
    assert {one["properties"]["role"] for one in body["features"]} == {"pitch", "area"}


def test_a_traced_pitch_lies_where_it_was_traced(empty_store: Store) -> None:
    """Its outline in degrees, anti-clockwise; its parts make it up (RFC 7946, section 3.1.6)."""
    corners = [[-1.2, 52.9], [-1.19851, 52.9], [-1.19851, 52.900575], [-1.2, 52.900575]]
    outline = {"type": "Polygon", "coordinates": [[*corners, corners[0]]]}
    feature: dict[str, Any] = {
        "type": "Feature",
        "properties": {"role": "pitch", "name": "Traced", "surface": "grass", "cuts": ["thirds"]},
        "geometry": outline,
    }
    load_files(empty_store, small_club_files(pitches=(feature,)), NOW)
    app = create_app(empty_store, Config("", ADDRESS), lambda: NOW)
    body = json.loads(program_of(app, empty_store).get("/venues/marsh-lane/ground").data)
    by_role: dict[str, list[Any]] = {"pitch": [], "area": []}
    for one in body["features"]:
        by_role[one["properties"]["role"]].append(shape(one["geometry"]))
    (whole,) = by_role["pitch"]
    assert whole.exterior.is_ccw
    assert whole.hausdorff_distance(shape(outline)) < 1e-6
    thirds = [one for one in by_role["area"] if one.area < 0.4 * whole.area]
    assert len(thirds) == 3
    assert sum(one.area for one in thirds) == pytest.approx(whole.area, rel=1e-4)


def places(answer: Any) -> list[tuple[str, str, str]]:
    """Return pitch, area and start of what is free."""
    return [
        (one["place"]["pitch"], one["place"]["area"], one["starts_at"][11:16])
        for one in answer.json["items"]
    ]


def test_what_is_held_is_not_free(desk: Program, small: Store) -> None:
    """Held parts and all that shares ground with them; the earliest and smallest come first."""
    before = places(desk.get(f"/free-places?{EVENING}&minutes=60&limit=100"))
    assert (TOP, "third-1", "18:00") in before
    assert [start for *_where, start in before] == sorted(start for *_where, start in before)
    book(small)
    after = places(desk.get(f"/free-places?{EVENING}&minutes=60&limit=100"))
    gone = set(before) - set(after)
    assert {(TOP, "third-1", "18:00"), (TOP, "whole", "18:00")} <= gone
    assert (TOP, "third-2", "18:00") in after
    assert {pitch for pitch, *_rest in gone} == {TOP}


def test_what_is_free_can_be_booked(desk: Program) -> None:
    """Each place that is offered to a squad is taken as it was offered."""
    found = desk.get(f"/free-places?{EVENING}&minutes=75&squad={KESTRELS}&limit=1").json["items"][0]
    wish = {name: found[name] for name in ("place", "starts_at", "ends_at")}
    made = desk.post("/bookings", {**wish, "purpose": "training", "squad": KESTRELS})
    assert made.status_code == 201, made.json
    assert datetime.fromisoformat(made.json["starts_at"]) == datetime.fromisoformat(
        found["starts_at"]
    )


def test_rules_of_a_squad_and_of_the_ground_count(desk: Program) -> None:
    """Unlit ground after dusk is free for nobody; so is what is shut, or was before now."""
    found = places(desk.get(f"/free-places?{EVENING}&minutes=60&limit=100"))
    assert LOW not in {pitch for pitch, *_rest in found}
    night = "since=2026-11-25T22:00:00Z&until=2026-11-26T02:00:00Z"
    assert places(desk.get(f"/free-places?{night}&minutes=60")) == []
    past = "since=2025-11-25T18:00:00Z&until=2025-11-25T20:00:00Z"
    assert places(desk.get(f"/free-places?{past}&minutes=60")) == []
    large = places(desk.get(f"/free-places?{EVENING}&minutes=60&least_m2=6000&limit=100"))
    assert {area for _pitch, area, _start in large} == {"whole"}
    nowhere = desk.get(f"/free-places?{EVENING}&minutes=60&venue=moon")
    assert is_problem(nowhere, 404, "not-there")


def test_a_question_that_cannot_be_meant_is_refused(desk: Program, coach: Program) -> None:
    """Times the wrong way round, too long, too short; another's squad."""
    back = "since=2026-11-25T20:00:00Z&until=2026-11-25T18:00:00Z"
    assert is_problem(desk.get(f"/free-places?{back}&minutes=60"), 422, "faulty")
    days = "since=2026-11-25T20:00:00Z&until=2026-11-27T18:00:00Z"
    assert is_problem(desk.get(f"/free-places?{days}&minutes=60"), 422, "refused")
    assert is_problem(desk.get(f"/free-places?{EVENING}&minutes=180"), 422, "refused")
    assert is_problem(desk.get(f"/free-places?{EVENING}&minutes=60&squad=x"), 404, "not-there")
    assert coach.get(f"/free-places?{EVENING}&minutes=60&squad={KESTRELS}").status_code == 200
    other = coach.get(f"/free-places?{EVENING}&minutes=60&squad={HARRIERS}")
    assert is_problem(other, 422, "refused")
