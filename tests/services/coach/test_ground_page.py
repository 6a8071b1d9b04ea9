"""Tests of the coach's page: the squad's own ground, next door, light, and what comes."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.ground.grounds import GoalKind, goals_on
from clubplanner.domain.ground.plans import GoalPlan
from clubplanner.errors import MissingError
from clubplanner.geometry.frame import Frame
from clubplanner.geometry.shapes import rectangle
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from clubplanner.services.addresses.links import create_squad_link, revoke_squad_links
from clubplanner.services.coach.ground_page import GroundPage, see_ground
from clubplanner.services.evening.bookings import withdraw_booking
from clubplanner.services.rows.named import find_pitch
from clubplanner.services.showing.ground.neighbours import neighbours_of
from clubplanner.services.showing.ground.plans import cut_lines, plan_for_squad
from tests.builders import A_WEDNESDAY, LONDON, NOW, make_booking, make_pitch, make_range
from tests.outputs.example_drawings import read_drawing
from tests.small_club import (
    HALL,
    HARRIERS,
    KESTRELS,
    LOW,
    PITCHES,
    book,
    load_small_club,
    pitch_feature,
)

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


@pytest.fixture
def store(small: Store) -> Store:
    """Give the small club without bookings."""
    return small


def look(store: Store, day: date | None = None, squad: str = KESTRELS) -> GroundPage:
    """Look at a squad's page."""
    return see_ground(store, create_squad_link(store, squad, "a test", NOW), day, NOW)


def test_the_page_opens_on_the_next_session(store: Store) -> None:
    """Without a date the next session is shown, not one that is over or another squad's."""
    book(store, HARRIERS, day=date(2026, 11, 17))
    book(store, day=date(2026, 12, 2))
    book(store)
    page = look(store)
    assert page.day == A_WEDNESDAY
    assert [later.day for later in page.coming] == [A_WEDNESDAY, date(2026, 12, 2)]
    assert page.coming[0].place == "Clubhouse third, Top pitch"
    assert page.coming[0].times == "18:00–19:15"


def test_own_ground_has_size_ends_goals_and_light(store: Store) -> None:
    """A session names its ground in metres and yards, its goals, its ends and its light."""
    book(store, note="Bring bibs")
    (session,) = look(store).sessions
    assert (session.area_name, session.pitch_name, session.venue_name) == (
        "Clubhouse third",
        "Top pitch",
        "Marsh Lane",
    )
    assert session.size == "33.3 × 64 m (36 × 70 yd)"
    assert session.area_m2 == "2,133"
    assert session.goals == "Fixed goal, 7.32 × 2.44 m."
    assert session.ends == "Clubhouse end on the left of the plan, Road end on the right."
    assert session.light.startswith("Floodlights until 21:30.")
    assert (session.dark_warning, session.note) == ("", "Bring bibs")
    words = read_drawing(session.drawing).words()
    assert "U12 Kestrels" in " ".join(words)
    assert {"33.3 m · 36 yd", "64 m · 70 yd", "Clubhouse end"} <= set(words)


def test_others_are_next_door_or_elsewhere_on_the_pitch(store: Store) -> None:
    """Next door comes with the way to look, and with times where these differ from one's own."""
    book(store, KESTRELS, "third-1")
    book(store, HARRIERS, "third-2")
    book(store, "Hill Runners", "third-3", start_min=17 * 60, end_min=18 * 60 + 30)
    (session,) = look(store).sessions
    assert session.next_door == ("U14 Harriers on Middle third, towards the road end",)
    assert session.also_there == ("Hill Runners on Road third, towards the road end, 17:00–18:30",)
    words = " ".join(read_drawing(session.drawing).words())
    assert "U14 Harriers" in words
    assert "Hill Runners" in words


@pytest.mark.parametrize(("start", "end"), [(15 * 60, 16 * 60 + 30), (18 * 60, 19 * 60)])
def test_a_session_past_the_light_is_warned_of(store: Store, start: int, end: int) -> None:
    """On unlit ground in November a session that ends after dark says when to be off."""
    book(store, KESTRELS, "half-1", pitch_key=LOW, start_min=start, end_min=end)
    (session,) = look(store).sessions
    assert session.dark_warning.startswith(
        "This session ends after there is light enough: be off the ground by 16:0"
    )
    book(store, KESTRELS, "half-1", pitch_key=HALL, day=date(2026, 11, 26))
    assert look(store, date(2026, 11, 26)).sessions[0].dark_warning == ""


def test_a_session_before_dawn_is_warned_of(store: Store) -> None:
    """Sunrise is about 7:40 that day; ten minutes before, unlit ground is of use."""
    book(store, KESTRELS, "half-1", pitch_key=LOW, start_min=7 * 60, end_min=9 * 60)
    (session,) = look(store).sessions
    assert session.dark_warning == (
        "This session begins before there is light enough: stay off the ground until 07:36."
    )


def test_where_the_sun_does_not_rise_other_ground_is_advised(empty_store: Store) -> None:
    """In the polar night unlit ground is no ground at all."""
    northern = (
        '[club]\nname = "Nordby"\ntime_zone = "Europe/Oslo"\n[[venues]]\nname = "Marsh Lane"\n'
        'lon = 18.96\nlat = 69.65\nopening = "Mon-Sun 09:00-21:00"\n'
    )
    store = load_small_club(empty_store, settings=northern)
    book(store, KESTRELS, "half-1", pitch_key=LOW, day=date(2026, 12, 16), start_min=720)
    (session,) = look(store).sessions
    assert session.dark_warning == (
        "This session would be in the dark: ask the secretary for other ground."
    )
    assert session.light == "No floodlights. The sun does not rise."


def test_two_sessions_of_a_day_are_both_shown(store: Store) -> None:
    """A squad that trains twice on a day sees both, by start; one over midnight once."""
    book(store, start_min=20 * 60, end_min=21 * 60)
    book(store, KESTRELS, "half-1", pitch_key=HALL)
    book(store, KESTRELS, "half-2", pitch_key=HALL, start_min=23 * 60, end_min=25 * 60)
    assert [s.starts for s in look(store).sessions] == ["18:00", "20:00", "23:00"]
    assert look(store, date(2026, 11, 26)).sessions == ()


def test_a_day_without_a_session_keeps_the_list(store: Store) -> None:
    """On a free day there is no session, but what comes is listed, at most eight."""
    for week in range(10):
        book(store, day=A_WEDNESDAY + timedelta(weeks=week))
    page = look(store, date(2026, 11, 24))
    assert page.sessions == ()
    assert len(page.coming) == 8
    empty = look(store, squad=HARRIERS)
    assert (empty.sessions, empty.coming) == ((), ())
    assert empty.day == date(2026, 11, 16)


def test_withdrawn_sessions_are_told_of_without_their_ground(store: Store) -> None:
    """What has been given back is nobody's ground; that it is off is said until it is over."""
    withdraw_booking(store, book(store), 0, NOW)
    page = look(store, A_WEDNESDAY)
    assert not page.sessions
    assert [missed.state.outcome for missed in page.missed] == ["off"]
    assert [one.state and one.state.is_off for one in page.coming] == [True]


def test_goals_are_counted_with_those_to_carry(empty_store: Store) -> None:
    """Equal goals are counted, a kind at a time, and portable ones are named."""
    goals = [{"at": "both ends"}, {"at": "left", "width_m": 3, "height_m": 2, "kind": "portable"}]
    top = pitch_feature("Top pitch", 100, 64, floodlights=True, goals=goals, portable_goals=3)
    low = pitch_feature("Low pitch", 60, 40, goals=[])
    store = load_small_club(empty_store, pitches=(top, low, PITCHES[2]))
    book(store, KESTRELS, "whole")
    book(store, KESTRELS, "whole", pitch_key=LOW)
    top_shown, low_shown = look(store).sessions
    assert top_shown.goals == (
        "2 × Fixed goal, 7.32 × 2.44 m; Portable goal, 3.00 × 2.00 m. "
        "3 portable goals can be brought on."
    )
    assert low_shown.goals == "No goal stands on it."


def test_an_address_that_ended_leads_nowhere(store: Store) -> None:
    """A revoked address and one that never was look the same."""
    secret = create_squad_link(store, KESTRELS, "a test", NOW)
    revoke_squad_links(store, KESTRELS, NOW)
    messages = set()
    for address in (secret, "never-was", "x" * 10_000):
        with pytest.raises(MissingError) as caught:
            see_ground(store, address, None, NOW)
        messages.add(str(caught.value))
    assert len(messages) == 1


def test_a_pitch_that_is_gone_is_missing() -> None:
    """A booking's pitch is looked for in every venue."""
    with pytest.raises(MissingError, match="no longer exists"):
        find_pitch((), "nowhere")


def test_the_plan_in_words_says_the_same_as_the_drawing() -> None:
    """The drawing's description names the ground, its size, who is there, and the way."""
    pitch = make_pitch(
        length_m=100,
        width_m=64,
        frame=Frame(-1.2, 52.9, 45),
        goals=(GoalPlan("both ends", 3, 2, GoalKind.PORTABLE),),
        drawn=(("Keepers' corner", rectangle(0, 0, 12, 12)),),
    )
    own = make_booking(area=pitch.area("third-1"))
    other = make_booking(2, area=pitch.area("third-3"), holder="U14 Harriers")
    plan = plan_for_squad(pitch, own, neighbours_of(pitch, own, [other]), LONDON)
    name, far = pitch.area("third-1").name, pitch.area("third-3").name
    assert plan.summary == (
        f"U12 Kestrels have {name} of Top pitch, 33.3 by 64.0 metres. "
        f"Also there: U14 Harriers on {far}. The corner of south-west end and south-east side: "
        "yours begins right there. Looking onto the pitch, it goes 64 m (70 yd) to the left and "
        "33 m (36 yd) to the right."
    )
    assert "Also there: nobody." in plan_for_squad(pitch, own, [], LONDON).summary
    assert draw_ground_plan(plan) != draw_ground_plan(plan_for_squad(pitch, own, [], LONDON))
    assert len(goals_on(pitch.area("third-1"), pitch.goals)) == 1


def test_ground_that_changes_hands_shows_who_is_there_at_the_start() -> None:
    """The drawing has the first holder alone; words say who follows on the ground, and when."""
    pitch = make_pitch()
    own = make_booking(area=pitch.area("third-1"))
    times = ((17 * 60, 18 * 60 + 30), (18 * 60 + 30, 19 * 60), (19 * 60, 20 * 60))
    others = [
        make_booking(
            n, area=pitch.area("third-2"), holder=f"Squad {n}", during=make_range(A_WEDNESDAY, *at)
        )
        for n, at in enumerate(times, start=2)
    ]
    plan = plan_for_squad(pitch, own, neighbours_of(pitch, own, others), LONDON)
    assert [area.heading for area in plan.areas] == ["Squad 2", "U12 Kestrels"]
    middle = pitch.area("third-2").name
    assert f"Also there: Squad 2 on {middle}." in plan.summary
    assert f"Later: from 18:30 Squad 3 on {middle}, " in plan.summary
    assert f"from 19:00 Squad 4 on {middle}, " in plan.summary


@pytest.mark.parametrize(
    ("keys", "cuts"),
    [
        (["third-1"], {"thirds"}),
        (["half-1", "corner-1"], {"halves", "grid"}),
        (["whole"], {"thirds"}),
        ([], {"thirds"}),
    ],
)
def test_fine_lines_are_those_of_the_cuts_in_use(keys: list[str], cuts: set[str]) -> None:
    """A plan has the lines of the cuts its bookings belong to, else those of the thirds."""
    pitch = make_pitch()
    wanted = [area.polygon for area in pitch.areas if area.cut in cuts]
    assert list(cut_lines(pitch, keys)) == wanted
