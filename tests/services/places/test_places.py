"""Where else a session could go: each rule by itself."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.squads import LeastGround
from clubplanner.services.places.places import Need, find_places, with_closed
from clubplanner.services.places.scenes import load_people, load_scene, need_of
from clubplanner.services.rows.snapshot import booking_from_row
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import A_WEDNESDAY, NOW, make_ask, make_range
from tests.small_club import (
    HALL,
    KESTRELS,
    PITCHES,
    SETTINGS,
    SQUADS,
    TOP,
    book,
    load_small_club,
    pitch_feature,
)

if TYPE_CHECKING:
    from clubplanner.domain.ground.places import Place
    from clubplanner.store.engine import Store

HALVES_AND_WHOLE = {"Clubhouse half, Top pitch", "Road half, Top pitch", "Whole of Top pitch"}
CHANGEOVER = SETTINGS.replace("step_minutes = 15", "step_minutes = 15\nchangeover_minutes = 15")


@pytest.fixture
def small(empty_store: Store) -> Store:
    """Give the small club with the Kestrels on a third of the top pitch, 18:00-19:15."""
    load_small_club(empty_store)
    book(empty_store, KESTRELS, "third-1")
    return empty_store


def places(store: Store, *, later: int = 0, earlier: int = 0, **ask: Any) -> list[Place]:
    """Return the places for the first booking; `ask` changes what its squad asked for."""
    with store.read() as session:
        booking = booking_from_row(session.get_one(BookingRow, 1))
        squads, asks = load_people(session)
        need = need_of(
            booking,
            squads,
            [make_ask(KESTRELS, possible="Mon-Sun 08:00-23:00", **ask)] if ask else asks,
            NOW,
            earlier=timedelta(minutes=earlier),
            later=timedelta(minutes=later),
        )
        return list(find_places(load_scene(session, A_WEDNESDAY), need, most=500))


def names(found: list[Place]) -> set[str]:
    """Return the grounds of places."""
    return {place.name for place in found}


def test_other_ground_is_offered_and_dark_ground_is_not(small: Store) -> None:
    """A third asked for: other thirds, halves; the hall; nothing unlit in November."""
    found = names(places(small))
    assert "Middle third, Top pitch" in found
    assert "Clubhouse third, Top pitch" not in found
    assert "Clubhouse half, Top pitch" in found, "its own third is in nobody's way but its own"
    assert not any("Low pitch" in name for name in found)
    assert any("Hall" in name for name in found)


def test_nearest_comes_first(small: Store) -> None:
    """The same pitch before another, the same size before a larger one, now before later."""
    found = places(small, later=30)
    costs = [place.cost for place in found]
    assert costs == sorted(costs)
    assert found[0].name in ("Middle third, Top pitch", "Road third, Top pitch")
    assert found[0].during == make_range()


@pytest.mark.parametrize(
    ("ask", "expected"),
    [
        ({"surfaces": frozenset({"indoor"})}, {"Clubhouse half, Hall", "Road half, Hall"}),
        ({"least_ground": LeastGround(share=1.0)}, {"Whole of Hall", "Whole of Top pitch"}),
        ({"least_ground": LeastGround(area_m2=3000)}, HALVES_AND_WHOLE),
        ({"least_ground": LeastGround(format_code="7v7")}, HALVES_AND_WHOLE),
        ({"least_ground": LeastGround(format_code="unheard of")}, set()),
    ],
)
def test_size_surface_and_form_of_the_game_must_do(
    small: Store, ask: dict[str, Any], expected: set[str]
) -> None:
    """What the squad asked for holds wherever it goes (7 v 7: 60 × 40 yd, FA Handbook 2016-17)."""
    found = names(places(small, **ask))
    if ask.get("surfaces"):
        assert expected <= found
        assert all("Hall" in name for name in found)
    else:
        assert found == expected


def test_a_goal_or_light_must_be_there_if_asked_for(small: Store) -> None:
    """The middle third has no goal; the hall none at all; in daylight unlit ground does too."""
    with_goal = names(places(small, needs_goal=True))
    assert with_goal == {"Road third, Top pitch", *HALVES_AND_WHOLE}
    load_small_club(
        small,
        pitches=(
            PITCHES[0],
            pitch_feature("Low pitch", 60, 40, cuts=["halves"], floodlights=True),
            PITCHES[2],
        ),
    )
    assert any("Low pitch" in name for name in names(places(small, needs_light=True)))


def test_changeover_is_kept_on_both_sides(empty_store: Store) -> None:
    """With a quarter of an hour of changeover, ground that is free from 19:15 is had at 19:30."""
    load_small_club(empty_store, settings=CHANGEOVER)
    book(empty_store, KESTRELS, "third-1")
    book(empty_store, "Choir", "whole", pitch_key=HALL, purpose=Purpose.HIRE)
    indoors = places(empty_store, later=120, surfaces=frozenset({"indoor"}))
    starts = {place.during.starts_at for place in indoors}
    assert min(starts) == make_range().starts_at + timedelta(minutes=90)


def test_neither_squad_nor_coach_is_elsewhere(small: Store) -> None:
    """The squad's own match, and the coach's other squad, keep it from going anywhere meanwhile."""
    book(small, KESTRELS, "third-3", start_min=18 * 60 + 30, end_min=19 * 60, purpose=Purpose.MATCH)
    assert places(small) == []
    later = places(small, later=90, least_ground=LeastGround())
    assert min(p.during.starts_at for p in later) == make_range().starts_at + timedelta(minutes=60)


def test_starts_lie_in_what_was_asked_for_and_in_opening_hours(small: Store) -> None:
    """The Kestrels can only come at 18:00; open end is 22:00, lights out at 21:30."""
    assert {p.during.starts_at for p in places(small, later=60, earlier=60)} == {
        make_range().starts_at
    }
    late = places(small, later=240, least_ground=LeastGround(share=1.0))
    ends = {p.name: p.during.ends_at for p in late}
    assert ends["Whole of Hall"] == make_range(end_min=22 * 60).ends_at
    assert max(p.during.ends_at for p in late if p.pitch_key == TOP) == (
        make_range(end_min=21 * 60 + 30).ends_at
    )


def test_a_hirer_keeps_to_its_kind_of_ground(empty_store: Store) -> None:
    """Without an ask: at least six tenths of what it has, indoors if it was indoors."""
    load_small_club(empty_store)
    book(empty_store, "Choir", "half-1", pitch_key=HALL, purpose=Purpose.HIRE)
    found = names(places(empty_store))
    assert found == {"Road half, Hall", "Whole of Hall"}


def test_scenes_are_changed_without_touching_the_first(small: Store) -> None:
    """Bookings are taken out, ground is closed, each in a scene of its own."""
    with small.read() as session:
        scene = load_scene(session, A_WEDNESDAY)
        booking = booking_from_row(session.get_one(BookingRow, 1))
    empty = scene.without({1})
    assert (len(scene.bookings), len(empty.bookings)) == (1, 0)
    closed = with_closed(empty, TOP, -1, make_range())
    need = Need(booking, None, None, booking.during.starts_at, booking.during.starts_at)
    assert find_places(empty, need)
    assert not any(place.pitch_key == TOP for place in find_places(closed, need))


def test_what_a_session_needs_follows_from_its_time_and_the_clock(small: Store) -> None:
    """It may start as much earlier as is allowed, but never in the past."""
    with small.read() as session:
        squads, asks = load_people(session)
        booking = booking_from_row(session.get_one(BookingRow, 1))
    need = need_of(booking, squads, asks, NOW, earlier=timedelta(minutes=15))
    assert need.earliest == booking.during.starts_at - timedelta(minutes=15)
    soon = booking.during.starts_at + timedelta(minutes=20)
    assert need_of(booking, squads, asks, soon).earliest == soon
    assert need.squad == squads[KESTRELS]


def test_a_match_goes_only_to_a_field_like_its_own_and_keeps_its_time(empty_store: Store) -> None:
    """Not to a third, though its squad trains on one; to a twin pitch with the same goals."""
    twin = pitch_feature("Twin", 100, 64, surface="artificial", floodlights=True)
    bare = pitch_feature("Bare", 100, 64, surface="artificial", floodlights=True, goals=[])
    load_small_club(empty_store, pitches=(*PITCHES, twin, bare))
    book(empty_store, KESTRELS, "whole", purpose=Purpose.MATCH)
    found = places(empty_store, later=60)
    assert names(found) == {"Whole of Twin"}
    assert found[0].during == make_range()


def test_rest_reaches_as_far_as_any_squad_asks_for(small: Store) -> None:
    """Twenty days of rest: a training a fortnight away stands in the way."""
    book(small, KESTRELS, "third-1", day=A_WEDNESDAY + timedelta(days=14))
    assert places(small)
    head, *rows = SQUADS.splitlines()
    rested = "\n".join([f"{head},rest days", *(f"{row},20" for row in rows)])
    load_small_club(small, squads=rested)
    assert places(small) == []
