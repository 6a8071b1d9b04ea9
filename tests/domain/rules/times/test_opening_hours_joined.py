"""Opening hours and asked times of which one begins when the other ends."""

from __future__ import annotations

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.settings import ClubSettings
from clubplanner.domain.rules.case import Case, Scene
from clubplanner.domain.rules.times.asked_times import asked_times
from clubplanner.domain.rules.times.opening_hours import opening_hours
from tests.builders import make_ask, make_range, make_squad, make_venue


def make_case(hours: str) -> Case:
    """Return a training on a Wednesday from 18:00 to 19:15, by hours of the venue and the ask."""
    venue = make_venue(opening=hours)
    scene = Scene(ClubSettings("Alderby Rovers", "Europe/London"), (venue,), ())
    pitch = venue.pitches[0]
    ask, squad = make_ask(possible=hours), make_squad()
    return Case(scene, pitch, pitch.areas[0], make_range(), Purpose.TRAINING, squad, ask)


def test_a_session_may_go_on_where_one_window_follows_another() -> None:
    """Hours up to 19:00 and hours from 19:00 are one stretch; a minute between them is a gap."""
    joined = make_case("Wed 17:00-19:00; Wed 19:00-20:00")
    assert opening_hours(joined) is None
    assert asked_times(joined) is None
    apart = make_case("Wed 17:00-19:00; Wed 19:01-20:00")
    assert opening_hours(apart) is not None
    assert asked_times(apart) is not None
