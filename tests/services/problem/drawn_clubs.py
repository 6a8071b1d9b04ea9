"""Small clubs drawn at random, as the rule book sees them and as the share-out does."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from hypothesis import strategies as st

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.club.settings import ClubSettings
from clubplanner.domain.club.sharing_rules import AgeRule, PitchLimit, SharingRules
from clubplanner.domain.club.squads import Ask, LeastGround
from clubplanner.domain.rules.case import Case, Scene
from clubplanner.domain.rules.ground.load import limits_of_pitches, percents_of_squads
from clubplanner.domain.times.daylight import find_light
from clubplanner.domain.times.times import minute_from_instant
from clubplanner.services.problem.problem import build_problem
from clubplanner.services.rows.bookings.held_against import FormsHeld
from clubplanner.services.rows.ground.known_sizes import published_formats
from clubplanner.sharing import Placement
from clubplanner.sharing.checks.places_alone import lost_dates
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.rules.book import RULES, broken_by_ask, broken_on_ground, look_at
from clubplanner.sharing.rules.times.asked_times import possible_starts
from tests.builders import (
    LONDON,
    make_ask,
    make_booking,
    make_pitch,
    make_range,
    make_squad,
    make_venue,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.domain.ground.grounds import Area, Pitch, Venue
    from clubplanner.sharing import Problem
    from clubplanner.sharing.rules.rule import Rule

MONDAYS = (date(2026, 12, 7), date(2027, 6, 14), date(2026, 10, 19), date(2027, 3, 22))
"""Weeks in winter, in summer, and those on whose Sundays the clocks change."""
FIRST, LAST = 8 * 60, 24 * 60
"""Sessions are looked at from eight to midnight."""
FORMATS = published_formats()
SQUADS = ("Wrens", "Larks", "Owls")
"""Owls ask for nothing."""


@dataclass(frozen=True)
class Club:
    """One club in one week.

    Attributes:
        scene: As the rule book sees it, with what stands.
        problem: As the share-out sees it, a day a date.
        asks: What squads ask for; the place in the list is the ask's key.
    """

    scene: Scene
    problem: Problem
    asks: tuple[Ask, ...]

    def case(self, candidate: Placement, scene: Scene | None = None) -> Case:
        """Put a placement to the rule book."""
        ask = self.asks[int(candidate.ask)]
        pitch, area = self.place(candidate)
        return Case(
            scene or self.scene,
            pitch,
            area,
            make_range(self.date_of(candidate), candidate.start_min, candidate.end_min),
            Purpose.TRAINING,
            squad=self.scene.squads[ask.squad_key],
            ask=ask,
        )

    def place(self, candidate: Placement) -> tuple[Pitch, Area]:
        """Return the pitch and area of a placement."""
        pitch_key, area_key = candidate.ground.split("/")
        pitch = self.scene.pitches[pitch_key]
        return pitch, pitch.area(area_key)

    def date_of(self, candidate: Placement) -> date:
        """Return the date of a placement."""
        return self.problem.days[candidate.day].dates[0]

    def squad_of(self, candidate: Placement) -> str:
        """Return whose a placement is."""
        return self.asks[int(candidate.ask)].squad_key

    def booked(self, candidate: Placement, number: int) -> Booking:
        """Return the booking that a placement becomes."""
        pitch, area = self.place(candidate)
        squad = self.scene.squads[self.squad_of(candidate)]
        during = make_range(self.date_of(candidate), candidate.start_min, candidate.end_min)
        return make_booking(
            number,
            area=area,
            pitch_key=pitch.key,
            during=during,
            squad_key=squad.key,
            holder=squad.name,
        )

    def candidates(self) -> Iterator[tuple[Placement, frozenset[Rule | str]]]:
        """Yield every place and time for each ask, with the share-out's rules that it breaks.

        "asked times" stands for a start that is never listed.
        """
        terrain = survey(self.problem)
        for ask in self.problem.asks:
            barred = broken_on_ground(terrain, ask)
            starts = np.arange(FIRST, LAST - ask.minutes + 1, self.problem.step_minutes)
            for day in self.problem.days:
                stays, bits = look_at(terrain, ask.minutes, day.index, starts)
                bits = bits | broken_by_ask(terrain, ask, stays) | barred[:, None]
                listed = set(possible_starts(self.problem, ask, day.index).tolist())
                for n, ground in enumerate(self.problem.grounds):
                    for m, start in enumerate(starts.tolist()):
                        end = start + ask.minutes
                        lost = lost_dates(self.problem, ground, day, start, end)
                        yield (
                            Placement(ask.key, 0, ground.key, day.index, start, end, lost),
                            _named(int(bits[n, m]), is_listed=start in listed),
                        )


@lru_cache(maxsize=1000)
def _named(bits: int, *, is_listed: bool) -> frozenset[Rule | str]:
    rules = {rule for n, rule in enumerate(RULES) if bits >> n & 1}
    return frozenset(rules if is_listed else {*rules, "asked times"})


@lru_cache(maxsize=100)
def pitch_of(name: str, venue: str, cuts: tuple[str, ...], kind: str, *, goals: bool) -> Pitch:
    """Return a pitch: "lit", "unlit" or "indoor"."""
    size = (40.0, 24.0) if kind == "indoor" else (100.0, 60.0)
    changes = {} if goals else {"goals": ()}
    return make_pitch(
        name,
        length_m=size[0],
        width_m=size[1],
        venue_key=venue,
        cuts=cuts,
        is_lit=kind == "lit",
        is_indoor=kind == "indoor",
        surface={"lit": "artificial", "unlit": "grass", "indoor": "indoor"}[kind],
        **changes,
    )


@st.composite
def venues(draw: st.DrawFn, name: str, monday: date, step: int) -> Venue:
    """Draw a venue with a pitch or two; often it is dark just when a session could end."""
    key = name.lower()
    pitches = tuple(
        pitch_of(
            f"Pitch {n}",
            key,
            draw(st.sampled_from([(), ("halves",), ("thirds",), ("halves", "thirds")])),
            draw(st.sampled_from(["lit", "unlit", "unlit", "indoor"])),
            goals=draw(st.booleans()),
        )
        for n in range(draw(st.integers(1, 2)))
    )
    venue = make_venue(
        name,
        opening=draw(
            st.sampled_from(
                [
                    "Mon-Sun 08:00-24:00",
                    "Mon-Fri 16:00-19:00; Mon-Fri 19:00-22:00; Sat-Sun 09:00-22:00",
                    "Mon, Wed, Sun 10:00-13:00; Mon-Thu, Sun 15:00-21:30",
                ]
            )
        ),
        lights_off_min=draw(st.sampled_from([None, 17 * 60, 20 * 60, 21 * 60 + 30])),
        pitches=pitches,
    )
    when = monday + timedelta(days=draw(st.integers(0, 6)))
    sunset = find_light(when, venue.lon, venue.lat, LONDON).sunset_at
    assert sunset is not None
    at = minute_from_instant(sunset, when, LONDON)
    margin = draw(st.sampled_from([0, 15, -at % step, -at % step - 1]))
    return replace(venue, dusk_margin_minutes=margin)


@st.composite
def asks(draw: st.DrawFn, squad: str) -> Ask:
    """Draw an ask with every field that is a rule."""
    some_days = st.sampled_from([frozenset(), frozenset(), frozenset({2}), frozenset({0})])
    least = draw(
        st.sampled_from(
            [
                LeastGround(),
                LeastGround(),
                LeastGround(),
                LeastGround(),
                LeastGround(area_m2=2000.0),
                LeastGround(share=0.5),
                LeastGround(format_code="7v7"),
                LeastGround(area_m2=100.0, format_code="no such form"),
            ]
        )
    )
    windows = ["Mon-Sun 08:00-24:00", "Mon-Fri 16:00-18:00; Mon-Sun 18:00-21:00", "Tue, Sun"]
    return make_ask(
        squad,
        sessions=5,
        minutes=draw(st.sampled_from([60, 90])),
        possible=draw(st.sampled_from(windows)),
        least_ground=least,
        surfaces=draw(
            st.sampled_from([frozenset(), frozenset(), frozenset(), frozenset({"grass", "indoor"})])
        ),
        needs_goal=draw(st.integers(0, 3)) == 3,
        needs_light=draw(st.integers(0, 3)) == 3,
        latest_finish_min=draw(st.sampled_from([None, 19 * 60])),
        rest_days=draw(st.sampled_from([0, 1, 0, 2])),
        no_day_before=draw(some_days),
        no_day_after=draw(some_days),
        most_in_a_row=draw(st.sampled_from([None, None, 1, 2])),
    )


@st.composite
def clubs(draw: st.DrawFn) -> Club:
    """Draw a club and a week."""
    monday = draw(st.sampled_from(MONDAYS))
    step = draw(st.sampled_from([30, 60]))
    places = tuple(
        draw(venues(name, monday, step)) for name in ("Park", "Lane")[: draw(st.integers(1, 2))]
    )
    squads = [
        make_squad(
            name,
            age_group=draw(st.sampled_from(["U12", "Adult", "U9"])),
            coach=draw(st.sampled_from(["", "Kim Rowe", " kim rowe"])),
        )
        for name in SQUADS
    ]
    rules = SharingRules(
        ages=(AgeRule(9, 18 * 60 + 30, 0, 15 * 60), AgeRule(13, 20 * 60, 50, 16 * 60 + 30)),
        limits=tuple(
            PitchLimit(
                venue.name,
                venue.pitches[0].name,
                draw(st.sampled_from([None, 45, 90])),
                draw(st.sampled_from([None, 1, 1])),
            )
            for venue in places[: draw(st.integers(0, 3))]
        ),
    )
    club = ClubSettings(
        "Hill Club",
        "Europe/London",
        step_minutes=step,
        changeover_minutes=draw(st.sampled_from([0, 15])),
        travel_minutes=draw(st.sampled_from([0, 30])),
        rules=rules,
    )
    wrens, larks = (squad.key for squad in squads[:2])
    whose = draw(st.sampled_from([(wrens, wrens), (wrens, larks), (wrens, wrens, larks)]))
    wanted = tuple(draw(asks(squad)) for squad in whose)
    pitches = [pitch for venue in places for pitch in venue.pitches]
    standing = []
    for number in range(draw(st.integers(1, 6))):
        pitch = draw(st.sampled_from(pitches))
        area = draw(st.sampled_from(pitch.areas))
        purpose = draw(st.sampled_from(Purpose))
        squad = draw(st.sampled_from(squads))
        is_own = purpose in (Purpose.TRAINING, Purpose.MATCH)
        start = draw(st.integers(56, 84)) * 15
        day = monday + timedelta(days=draw(st.sampled_from([0, 1, 3, 6])))
        standing.append(
            make_booking(
                number + 1,
                area=area,
                pitch_key=pitch.key,
                during=make_range(day, start, start + draw(st.sampled_from([45, 60, 120]))),
                purpose=purpose,
                squad_key=squad.key if is_own else None,
                holder=squad.name if is_own else purpose.value,
                is_fixed=True,
            )
        )
    scene = Scene(
        club=club,
        venues=places,
        bookings=standing,
        squads={squad.key: squad for squad in squads},
        asks={squad.key: [a for a in wanted if a.squad_key == squad.key] for squad in squads},
        limits=limits_of_pitches(rules, {}, places),
        percents=percents_of_squads(rules, {}, squads),
        holds_form=FormsHeld(FORMATS),
    )
    dates = [monday + timedelta(days=n) for n in range(7)]
    numbered = list(enumerate(wanted))
    problem = build_problem(club, places, dates, standing, squads, numbered, FORMATS, by_date=True)
    return Club(scene, problem, wanted)
