"""From the club's records to a share-out's problem, and a small club all the way through."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from shapely import box

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.settings import ClubSettings
from clubplanner.domain.ground.grounds import usable_ground
from clubplanner.domain.times.daylight import find_light, find_sunrise
from clubplanner.domain.times.times import each_date, minute_from_instant
from clubplanner.errors import MissingError, RefusedError, ShareOutError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.problem.problem import build_problem
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.rows.ground.known_sizes import published_formats
from clubplanner.services.setup.loading import load_files
from clubplanner.services.share_out.anew import anew
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.services.share_out.listed.share_out_list import list_share_outs
from clubplanner.sharing.solving.process import ShareOutError as ProcessError
from clubplanner.sharing.values.problem import Effort, Problem
from tests.builders import (
    LONDON,
    NOW,
    make_ask,
    make_booking,
    make_pitch,
    make_range,
    make_squad,
    make_venue,
)

if TYPE_CHECKING:
    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.store.engine import Store

CLUB = ClubSettings("Hill Club", "Europe/London")
SPRING = tuple(each_date(date(2027, 3, 22), date(2027, 4, 18)))
"""Four weeks across the change of clocks on 28 March 2027."""
UNLIT = make_pitch("Meadow", is_lit=False)
HALL = make_pitch("Hall", length_m=40, width_m=20, is_lit=True, is_indoor=True)


def problem_of(*bookings: Booking, dates: tuple[date, ...] = SPRING, **venue: object) -> Problem:
    """Build the problem of a small club: an unlit meadow and a hall."""
    place = make_venue("Marsh Lane", opening="Mon-Fri 17:00-22:00", **venue)
    place = replace(place, pitches=(UNLIT, HALL))
    squad = make_squad("U12 Kestrels", coach="  Kim Rowe ")
    ask = make_ask(squad.key, possible="Mon, Sat 17:00-20:00")
    return build_problem(
        CLUB, (place,), dates, bookings, (squad,), ((7, ask),), published_formats()
    )


def test_days_are_weekdays_with_all_their_dates() -> None:
    """A weekday stands for every one of its dates; breaks have been left out before."""
    problem = problem_of()
    assert [day.name for day in problem.days][:2] == ["Monday", "Tuesday"]
    assert all(len(day.dates) == 4 for day in problem.days)
    assert problem_of(dates=(date(2027, 4, 14),)).days[0].name == "Wednesday"


def test_it_is_dark_from_the_earliest_dusk_of_all_dates() -> None:
    """Unlit ground is out of use from the earliest sunset among a weekday's dates."""
    problem = problem_of(dusk_margin_minutes=10)
    monday = problem.days[0]
    expected = min(_dusk(day) for day in monday.dates) + 10
    (dark,) = (d for d in problem.darkness if d.day == 0)
    assert dark.from_min == expected
    assert expected < 18 * 60 + 45, "22 March is before the clocks change"


def test_it_is_light_from_the_latest_dawn_of_all_dates() -> None:
    """Unlit ground is of use from the latest sunrise among a weekday's dates."""
    problem = problem_of(dusk_margin_minutes=10)
    monday, venue = problem.days[0], make_venue("Marsh Lane")
    sunrises = [find_sunrise(day, venue.lon, venue.lat, LONDON) for day in monday.dates]
    dawns = [at.astimezone(LONDON) - timedelta(minutes=10) for at in sunrises if at is not None]
    expected = max(60 * at.hour + at.minute + 1 for at in dawns)
    (dark,) = (d for d in problem.darkness if d.day == 0)
    assert dark.dawn_min == expected
    assert 6 * 60 < expected < 7 * 60, "29 March is after the clocks change"


def _dusk(day: date) -> int:
    venue = make_venue("Marsh Lane")
    sunset = find_light(day, venue.lon, venue.lat, LONDON).sunset_at
    assert sunset is not None
    return minute_from_instant(sunset, day, LONDON)


def test_polar_night_is_dark_all_day() -> None:
    """Where the sun does not rise unlit ground is of no use at all; in summer it never darkens."""
    north = {"lon": 18.95, "lat": 69.65}
    winter = problem_of(dates=(date(2026, 12, 21),), **north)
    assert [(d.from_min, d.dawn_min) for d in winter.darkness] == [(0, None)]
    assert problem_of(dates=(date(2027, 6, 21),), **north).darkness == ()


def test_grounds_carry_what_the_rules_ask_about() -> None:
    """Areas come with size, share, surface, goals, light and the formats they hold."""
    grounds = {ground.key: ground for ground in problem_of().grounds}
    third = grounds["marsh-lane-meadow/third-1"]
    assert (third.share, third.cut, third.is_lit, third.has_goal) == (4, "thirds", False, True)
    assert third.area_m2 == pytest.approx(2000, abs=0.1)
    assert third.share_of_pitch == pytest.approx(1 / 3, abs=1e-4)
    assert "5v5" in grounds["marsh-lane-meadow/half-1"].formats
    assert not grounds["marsh-lane-meadow/third-2"].has_goal
    assert grounds["marsh-lane-hall/whole"].is_indoor


def test_asks_come_with_their_coach_and_days() -> None:
    """The coach is known by name however it is written; days without dates fall away."""
    (ask,) = problem_of(dates=(date(2027, 3, 22),)).asks
    assert ask.coach == "Kim Rowe"
    assert ask.key == "7"
    assert [(w.day, w.start_min) for w in ask.possible] == [(0, 1020)]


def test_what_stands_is_cut_at_midnight() -> None:
    """A hire past midnight stands on both dates; training of an earlier share-out does not."""
    night = make_booking(
        1,
        during=make_range(SPRING[0], 23 * 60, 25 * 60, LONDON),
        purpose=Purpose.HIRE,
        squad_key=None,
        holder="Choir",
    )
    earlier = make_booking(2, purpose=Purpose.TRAINING, squad_key="u12-kestrels", is_fixed=False)
    by_hand = replace(earlier, number=3, is_fixed=True)
    withdrawn = replace(by_hand, number=4, is_withdrawn=True)
    problem = problem_of(night, earlier, by_hand, withdrawn)
    pieces = [(s.date, s.start_min, s.end_min) for s in problem.standing]
    assert pieces[:2] == [(SPRING[0], 1380, 1440), (SPRING[0] + timedelta(days=1), 0, 60)]
    assert len(pieces) == 3


def test_a_standing_booking_over_the_change_of_clocks() -> None:
    """The night of 28 March 2027 lacks an hour; the booking still covers its wall times."""
    day = date(2027, 3, 28)
    night = make_booking(
        1, during=make_range(day, 0, 4 * 60, LONDON), purpose=Purpose.CLOSED, squad_key=None
    )
    (piece,) = problem_of(night).standing
    assert (piece.start_min, piece.end_min) == (0, 240)
    whole = make_booking(
        2, during=make_range(day, 0, 24 * 60, LONDON), purpose=Purpose.CLOSED, squad_key=None
    )
    (piece,) = problem_of(whole).standing
    assert (piece.start_min, piece.end_min) == (0, 1440)


SETTINGS = b"""
[club]
name = "Hill Club"
time_zone = "Europe/London"
[[venues]]
name = "Hill"
lon = -1.0
lat = 52.0
opening = "Mon-Fri 17:00-20:00"
[[stretches]]
name = "Spring"
starts = 2027-03-15
ends = 2027-04-11
[[stretches]]
name = "Holidays"
starts = 2027-07-01
ends = 2027-07-02
[[breaks]]
name = "Summer"
starts = 2027-07-01
ends = 2027-08-31
"""
GROUNDS = b"""{"type": "FeatureCollection", "venue": "Hill", "features": [{"type": "Feature",
"geometry": null, "properties": {"role": "pitch", "name": "Top", "surface": "artificial",
"floodlights": true, "length_m": 100, "width_m": 60, "cuts": ["halves"]}}]}"""
SQUADS = b"""squad,players,sessions a week,minutes,possible,least ground
Hawks,14,1,60,Mon 18:00-19:00,half
Owls,14,1,60,Mon 18:00-19:00,half
Wrens,14,1,60,Mon 18:00-19:00,half
"""


@pytest.fixture
def small_club(empty_store: Store) -> Store:
    """Load a club of three squads that want two halves."""
    files = [("club.toml", SETTINGS), ("hill.geojson", GROUNDS), ("squads.csv", SQUADS)]
    load_files(empty_store, [ClubFile(*file) for file in files], NOW)
    return empty_store


def test_a_small_club_is_shared_out_and_published(small_club: Store) -> None:
    """Two of three squads get a half each, proved best; the third is told why it goes without."""
    done = run_share_out(small_club, "Spring", Effort(seconds=5), NOW)
    assert (done.kind, done.placed, done.asked) == ("proved best", 2, 3)
    page = see_share_out(small_club, done.number, NOW)
    (refusal,) = page.refusals
    assert "held by" in " ".join(refusal.reasons)
    published = publish_share_out(small_club, done.number, NOW)
    assert published.added == 8


def test_a_run_starts_only_with_something_to_share(small_club: Store, empty_store: Store) -> None:
    """An unknown stretch, one within breaks, or nothing asked for is told before the search."""
    with pytest.raises(MissingError, match="the stretches are: spring, holidays"):
        run_share_out(small_club, "autumn", Effort(seconds=1), NOW)
    with pytest.raises(RefusedError, match="lies wholly in breaks"):
        run_share_out(small_club, "holidays", Effort(seconds=1), NOW)


@pytest.mark.parametrize(
    ("files", "words"),
    [((SETTINGS, None, None), "No squad asks"), ((SETTINGS, None, SQUADS), "There is no pitch")],
)
def test_a_half_loaded_club_is_told_what_is_missing(
    empty_store: Store, files: tuple[bytes | None, ...], words: str
) -> None:
    """Without squads or pitches there is nothing to share out."""
    names = ("club.toml", "hill.geojson", "squads.csv")
    given = [ClubFile(n, data) for n, data in zip(names, files, strict=True) if data is not None]
    load_files(empty_store, given, NOW)
    with pytest.raises(RefusedError, match=words):
        run_share_out(empty_store, "spring", Effort(seconds=1), NOW)


def test_a_broken_optimiser_is_told_without_detail(
    small_club: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the optimiser's process fails nothing is kept, and the words hold no traceback."""

    def broken(*_: object) -> None:
        raise ProcessError("Traceback: inner detail")

    monkeypatch.setattr(anew, "solve_in_child", broken)
    with pytest.raises(ShareOutError, match="broke off") as caught:
        run_share_out(small_club, "spring", Effort(seconds=1), NOW)
    assert "inner detail" not in str(caught.value)
    assert list_share_outs(small_club) == ()


def test_an_area_without_usable_ground_holds_no_format() -> None:
    """A part wholly taken by an obstacle holds no game."""
    pitch = replace(UNLIT, obstacles=(box(-1, -1, 51, 61),))
    venue = replace(make_venue("Marsh Lane"), pitches=(pitch,))
    squad = make_squad("U12 Kestrels")
    problem = build_problem(
        CLUB, (venue,), SPRING, (), (squad,), ((1, make_ask(squad.key)),), published_formats()
    )
    half = next(g for g in problem.grounds if g.key.endswith("half-1"))
    assert half.formats == frozenset()
    other = next(g for g in problem.grounds if g.key.endswith("half-2"))
    assert "5v5" in other.formats


def test_what_fits_on_a_shape_is_looked_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """However many pitches of one shape a council has, their formats are worked out for one."""
    asked = []

    def fits(ground: object, game: object) -> bool:
        asked.append((ground, game))
        return True

    monkeypatch.setattr("clubplanner.services.problem.problem.fits_format", fits)
    pitches = tuple(make_pitch(f"Pitch {n}", length_m=97.25) for n in range(20))  # as no other test
    place = replace(make_venue("Marsh Lane", opening="Mon-Fri 17:00-22:00"), pitches=pitches)
    formats = published_formats()
    problem = build_problem(CLUB, (place,), SPRING, (), (), (), formats)
    assert all(ground.formats for ground in problem.grounds)
    shapes = {usable_ground(area, ()) for area in pitches[0].areas}
    assert len(asked) == len(shapes) * len(formats)
    changed = (replace(pitches[0], name="Elsewhere"), *pitches[1:])
    again = build_problem(CLUB, (replace(place, pitches=changed),), SPRING, (), (), (), formats)
    was, now = ({g.key: g for g in one.grounds} for one in (problem, again))
    assert {key for key in was if was[key] is not now[key]} == {
        key for key in was if was[key].pitch == pitches[0].key
    }
    assert len(asked) == len(shapes) * len(formats)
