"""Problems and results as JSON: exact both ways, every fault with its place."""

from __future__ import annotations

import copy
import json
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clubplanner.sharing import (
    Change,
    Effort,
    Level,
    Placement,
    Problem,
    Reason,
    Refusal,
    digest,
    validate,
)
from clubplanner.sharing.files.file_shapes import record_of
from clubplanner.sharing.files.files import read_outcome, read_problem, schema, write_value
from clubplanner.sharing.files.json_shapes import Faults
from clubplanner.sharing.files.references import check_references
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import make_ask, make_club, make_days, make_pitch, make_problem
from tests.sharing.schema_rules import is_allowed
from tests.sharing.test_against_brute_force import tiny_problems

if TYPE_CHECKING:
    from fractions import Fraction

CLUB = make_club(6, pitches=3)


def document() -> dict[str, Any]:
    """Return a small sound problem as JSON, with an entry in each of its lists."""
    pin = Placement("b", 0, "top-halves-0", 0, 1080, 1140, (date(2026, 9, 7),))
    asks = (
        make_ask("a", venues=frozenset({"park"}), surfaces=frozenset({"grass", "sand"})),
        make_ask("b", pinned=(pin,), coach="Kim", least_format="5v5"),
    )
    problem = make_problem(make_pitch(cuts=("whole", "halves")), *asks, days=make_days(2, 4))
    problem = replace(
        problem, standing=CLUB.standing, lights_out=CLUB.lights_out, darkness=CLUB.darkness
    )
    body = json.loads(write_value(problem))
    for booking in body["standing"]:
        booking["pitch"] = "top"
    body["darkness"] = [{"venue": "park", "day": 1, "from_min": 1200}]
    body["lights_out"] = [{"venue": "park", "pitch": "top", "day": 0, "from_min": 1320}]
    return dict(body)


def faults_of(body: object) -> dict[str, str]:
    """Read a body and return its faults: place to code."""
    problem, faults = read_problem(json.dumps(body).encode())
    assert (problem is None) == bool(faults)
    return {fault.where: fault.code for fault in faults}


@given(problem=tiny_problems(), part=st.fractions(0, 1, max_denominator=99))
@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_problem_comes_back_as_it_was(problem: Problem, part: Fraction) -> None:
    """Writing and reading gives an equal problem with the same digest."""
    problem = replace(problem, most_dates_lost=part)
    again, faults = read_problem(write_value(problem).encode())
    assert faults == ()
    assert again == problem
    assert digest(again) == digest(problem)


def test_the_smallest_document_takes_the_defaults() -> None:
    """What has a default may be left out."""
    problem, faults = read_problem(b'{"grounds": [], "days": [], "openings": []}')
    assert faults == ()
    assert problem == Problem((), (), ())


def test_a_result_comes_back_as_it_was() -> None:
    """An outcome with refusals, changes and levels is equal after writing and reading."""
    outcome = solve(make_club(30, pitches=1), Effort(seconds=1))
    assert outcome.refusals
    assert any(refusal.changes for refusal in outcome.refusals)
    again, faults = read_outcome(write_value(outcome).encode())
    assert faults == ()
    assert again == outcome


@given(
    values=st.tuples(st.integers(-(10**12), 10**12), st.integers(-(10**12), 10**12)),
    gap=st.floats(0, 1e9),
    text=st.text(st.characters(exclude_categories=["C"]), max_size=40),
)
def test_any_result_comes_back_exactly(values: tuple[int, int], gap: float, text: str) -> None:
    """Numbers keep every digit and texts every letter."""
    base = solve(make_problem((), make_ask()), Effort(seconds=1))
    place = Placement("a", 0, "x", 0, 0, 60, (date(2026, 9, 7),))
    change = Change("shorter", make_ask("a"), place, (place,), text=text)
    refusal = Refusal("a", text, 1, (Reason("held", text, False, (place,)),), (change,))
    outcome = replace(
        base,
        levels=(Level(text, values[0], values[1], False, gap),),
        refusals=(refusal,),
    )
    again, faults = read_outcome(write_value(outcome).encode())
    assert faults == ()
    assert again == outcome


def test_every_fault_is_told_at_once_with_its_place() -> None:
    """Wrong types, ranges, unknown and missing members come together, and what they point to."""
    body = document()
    body["colour"] = "red"
    body["step_minutes"] = 0
    body["most_dates_lost"] = "5/4"
    body["asks"][0]["minutes"] = "sixty"
    body["asks"][0]["possible"][0]["day"] = 7
    body["asks"][1]["priority"] = True
    body["asks"][1]["odd name"] = 1
    del body["asks"][1]["squad"]
    body["grounds"][1]["cells"] = [3, 3]
    body["days"][0]["dates"][1] = "2026-02-30"
    assert faults_of(body) == {
        "$.colour": "unknown",
        "$.step_minutes": "range",
        "$.most_dates_lost": "fraction",
        "$.asks[0].minutes": "type",
        "$.asks[1].priority": "type",
        "$.asks[1]['odd name']": "unknown",
        "$.asks[1].squad": "missing",
        "$.grounds[1].cells[1]": "twice",
        "$.days[0].dates[1]": "date",
    }
    body["days"][0]["dates"][1] = "2026-09-14"
    assert faults_of(body)["$.asks[0].possible[0].day"] == "dangling"


@pytest.mark.parametrize(
    ("path", "value", "where"),
    [
        ("asks 1 key", "a", "$.asks[1].key"),
        ("grounds 1 key", "top-whole-0", "$.grounds[1].key"),
        ("grounds 1 venue", "lane", "$.grounds[1].venue"),
        ("days 1 index", 0, "$.days[1].index"),
        ("days 1 dates 0", "2026-09-07", "$.days[1].dates[0]"),
        ("openings 0 venue", "moon", "$.openings[0].venue"),
        ("openings 1 day", 2, "$.openings[1].day"),
        ("openings 0 end_min", 480, "$.openings[0].end_min"),
        ("darkness 0 venue", "moon", "$.darkness[0].venue"),
        ("lights_out 0 pitch", "back", "$.lights_out[0].pitch"),
        ("standing 0 pitch", "back", "$.standing[0].pitch"),
        ("asks 0 venues", ["moon"], "$.asks[0].venues"),
        ("asks 0 preferred", [{"day": 0, "start_min": 9, "end_min": 9}], None),
        ("asks 1 pinned 0 ask", "a", "$.asks[1].pinned[0].ask"),
        ("asks 1 pinned 0 session", 1, "$.asks[1].pinned[0].session"),
        ("asks 1 pinned 0 ground", "x", "$.asks[1].pinned[0].ground"),
        ("asks 1 pinned 0 day", 4, "$.asks[1].pinned[0].day"),
        ("asks 1 pinned 0 end_min", 1141, "$.asks[1].pinned[0].end_min"),
    ],
)
def test_what_points_to_nothing_is_a_fault(path: str, value: object, where: str | None) -> None:
    """Each reference between the parts of a file is checked, and told at its own place."""
    body = document()
    assert faults_of(body) == {}
    spot: Any = body
    *way, last = [int(part) if part.isdigit() else part for part in path.split()]
    for part in way:
        spot = spot[part]
    spot[last] = value
    assert (where or "$.asks[0].preferred[0].end_min") in faults_of(body)


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "json"),
        (b"\xff", "encoding"),
        (b"[" * 100_000, "deep"),
        (b"9" * 5000, "json"),
        (b"[NaN]", "json"),
        (b"3", "type"),
        (b'{"grounds": [], "days": [], "openings": [], "days": []}', "twice"),
        (b'{"grounds": [], "days": [], "openings": [], "step_minutes": 1e999}', "type"),
        (b'{"grounds": [], "days": [], "openings": [], "step_minutes": 1e300}', "range"),
        (b'{"grounds": [], "days": [], "openings": [], "\\ud800\\u0007": 1}', "unknown"),
    ],
)
def test_what_is_no_document_is_told_in_words(data: bytes, code: str) -> None:
    """Broken files give faults that can be printed."""
    problem, faults = read_problem(data)
    assert problem is None
    assert [fault.code for fault in faults] == [code]
    assert str(faults[0]).encode()


JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False)
    | st.text()
    | st.sampled_from(["2026-09-07", "1/4", "a", "park", "top-whole-0"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.text() | st.sampled_from(sorted(document())), inner, max_size=4)
    ),
    max_leaves=12,
)


@st.composite
def mutated(draw: st.DrawFn) -> dict[str, Any]:
    """Draw a sound document with one to three values anywhere replaced, dropped or added."""
    body = document()
    for _ in range(draw(st.integers(1, 3))):
        spot: Any = body
        while True:
            keys = list(spot) if isinstance(spot, dict) else list(range(len(spot)))
            if not keys:
                break
            key = draw(st.sampled_from(keys))
            deeper = isinstance(spot[key], (dict, list))
            if deeper and draw(st.integers(0, 4)):
                spot = spot[key]
                continue
            change = draw(st.integers(0, 3))
            if change == 0:
                del spot[key]
            elif change == 1 and isinstance(spot, dict):
                spot[draw(st.sampled_from(["extra", "key", "day"]))] = draw(JSON)
            elif change == 2 and isinstance(spot[key], int):
                spot[key] += draw(st.integers(-3, 3))
            else:
                spot[key] = draw(JSON)
            break
    return body


@given(body=JSON | mutated())
@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_no_json_makes_reading_fail(body: object) -> None:
    """Any JSON at all is read, or refused with faults that can be printed."""
    problem, faults = read_problem(json.dumps(body).encode())
    assert (problem is None) == bool(faults)
    for fault in faults:
        assert fault.where.startswith("$")
        assert str(fault).encode()
    if problem is not None:
        assert validate(problem) == ()
    outcome, _ = read_outcome(json.dumps(body).encode())
    assert outcome is None


@given(body=mutated())
@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_the_schema_refuses_only_what_reading_refuses(body: dict[str, Any]) -> None:
    """What the schema refuses has faults; faults of types, ranges and members it refuses too."""
    document_schema = schema()
    allowed = is_allowed(body, document_schema, document_schema)
    codes = set(faults_of(body).values())
    if not allowed:
        assert codes
    if codes & {"type", "range", "unknown", "missing", "empty"} and not codes & REFERENCES:
        assert not allowed


REFERENCES = {"dangling", "order", "contradiction", "length", "twice", "date", "fraction"}
"""Faults between members of a file, which no schema of one member sees."""


@given(body=mutated())
@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_every_structural_fault_has_its_place(body: dict[str, Any]) -> None:
    """Whatever `validate` finds in a problem in range is found with its place as well."""
    faults = Faults()
    problem = record_of(Problem).read(body, "$", faults)
    if faults.found or not validate(problem):
        return
    check_references(problem, faults)
    assert faults.found


def test_the_schema_knows_every_member() -> None:
    """A sound document passes the schema, one with an unknown member anywhere does not."""
    rules = schema()
    assert rules["$schema"].endswith("2020-12/schema")
    body = document()
    assert is_allowed(body, rules, rules)
    assert all(part["additionalProperties"] is False for part in rules["$defs"].values())
    worse = copy.deepcopy(body)
    del worse["asks"][0]["minutes"]
    assert not is_allowed(worse, rules, rules)
