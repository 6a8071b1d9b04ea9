"""Until when there is light, in words; and who is next door, which way."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from clubplanner.domain.bookings import Purpose
from clubplanner.services.light_words import light_in_words
from clubplanner.services.neighbours import neighbours_of
from tests.builders import A_WEDNESDAY, LONDON, make_booking, make_pitch, make_range, make_venue

UNLIT = make_pitch(is_lit=False)
LIT = make_pitch(is_lit=True)
NORTH: dict[str, Any] = {"lon": 18.95, "lat": 69.65}
LATE = datetime(2026, 11, 25, 23, 0, tzinfo=UTC)


def test_a_hall_is_lit_all_evening() -> None:
    """Under a roof the sun does not matter."""
    hall = make_pitch(is_lit=True, is_indoor=True)
    words = light_in_words(hall, make_venue(), A_WEDNESDAY, LONDON)
    assert words.sentence == "Lit all evening."
    assert not words.ends_too_late(LATE)


def test_floodlights_go_out_when_the_venue_says() -> None:
    """A curfew ends a lit session; without one there is no end."""
    curfew = light_in_words(LIT, make_venue(lights_off_min=1290), A_WEDNESDAY, LONDON)
    assert curfew.sentence.startswith("Floodlights until 21:30. Sunset ")
    assert curfew.ends_too_late(datetime(2026, 11, 25, 21, 31, tzinfo=UTC))
    assert not curfew.ends_too_late(datetime(2026, 11, 25, 21, 30, tzinfo=UTC))
    free = light_in_words(LIT, make_venue(lights_off_min=None), A_WEDNESDAY, LONDON)
    assert free.sentence.startswith("Floodlights. Sunset ")
    assert not free.ends_too_late(LATE)


def test_unlit_ground_is_usable_until_sunset_and_the_clubs_margin() -> None:
    """The margin moves the end, not the sunset that is told."""
    plain = light_in_words(UNLIT, make_venue(dusk_margin_minutes=0), A_WEDNESDAY, LONDON)
    longer = light_in_words(UNLIT, make_venue(dusk_margin_minutes=15), A_WEDNESDAY, LONDON)
    assert plain.usable_until is not None
    assert longer.usable_until is not None
    assert (longer.usable_until - plain.usable_until).total_seconds() == 900
    assert plain.sentence.partition("Sunset")[2] == longer.sentence.partition("Sunset")[2]


@pytest.mark.parametrize(
    ("day", "words", "is_late"),
    [
        (date(2026, 6, 21), "No floodlights. The sun does not set.", False),
        (date(2026, 12, 21), "No floodlights. The sun does not rise.", True),
    ],
)
def test_polar_summer_and_winter(day: date, words: str, is_late: bool) -> None:
    """Where the sun stays up nothing ends; where it stays down nothing can begin."""
    light = light_in_words(UNLIT, make_venue(**NORTH), day, LONDON)
    assert light.sentence == words
    assert light.ends_too_late(datetime(2026, 1, 1, 12, tzinfo=UTC)) is is_late


def test_neighbours_are_told_with_the_way_to_look() -> None:
    """Those whose ground touches come first; each with the end or side they are towards."""
    own = make_booking(1, area=LIT.area("third-1"), pitch_key=LIT.key)
    next_door = replace(own, number=2, area_key="third-2", holder="Hawks")
    far = replace(own, number=3, area_key="third-3", holder="Owls")
    found = neighbours_of(LIT, own, [far, next_door])
    assert [(n.booking.holder, n.is_next_door) for n in found] == [("Hawks", True), ("Owls", False)]
    edge = LIT.edges.far
    assert found[0].direction == f"towards the {edge[:1].lower()}{edge[1:]}"
    assert found[0].sentence.startswith("Hawks on Middle third, towards the ")


def test_a_neighbour_beside_lies_towards_a_side() -> None:
    """In a grid the one across lies towards a side, not an end; a closure says it is closed."""
    own = make_booking(1, area=LIT.area("corner-1"), pitch_key=LIT.key)
    beside = replace(
        own, number=2, area_key="corner-2", holder="frost", purpose=Purpose.CLOSED, squad_key=None
    )
    (found,) = neighbours_of(LIT, own, [beside])
    side = LIT.edges.left
    assert found.direction == f"towards the {side[:1].lower()}{side[1:]}"
    assert "is closed (frost)" in found.sentence
    (back,) = neighbours_of(LIT, beside, [own])
    assert back.direction != found.direction


def test_who_is_elsewhere_or_at_another_time_is_no_neighbour() -> None:
    """Other pitches, other times, oneself and withdrawn bookings do not count."""
    own = make_booking(1, area=LIT.area("third-1"), pitch_key=LIT.key)
    other = replace(own, number=2, area_key="third-2")
    later = replace(other, during=make_range(A_WEDNESDAY, 1290, 1320, LONDON))
    elsewhere = replace(other, pitch_key="another")
    gone = replace(other, is_withdrawn=True)
    assert neighbours_of(LIT, own, [own, later, elsewhere, gone]) == ()
