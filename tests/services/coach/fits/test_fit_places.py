"""What lies round a squad's ground, and how much of it is kept clear."""

from __future__ import annotations

import re
from dataclasses import replace

from clubplanner.services.coach.fits.fit_places import FitPlace, FitWish
from clubplanner.services.coach.fits.session_sizes import see_what_fits
from clubplanner.services.rows.ground.known_sizes import published_formats
from tests.builders import A_WEDNESDAY, make_pitch
from tests.services.coach.fits.test_session_sizes import as_stored, fits


def test_run_off_is_laid_to_edges_and_to_whoever_is_there() -> None:
    """Three metres are kept from the pitch's edges and from a neighbour; none where nobody is."""
    pitch = make_pitch(width_m=64.0)
    middle = pitch.area("third-2").polygon
    alone = fits(14, 2, pitch=pitch, age=None)
    beside = fits(14, 2, pitch=pitch, age=None, neighbours=(middle,))
    for shown in (alone, beside):
        assert shown.ways[0].clear.startswith("Fits with 3 m clear all round but along the goal")
        assert "3 m clear all round" in shown.largest.sentence  # type: ignore[union-attr]
    size = re.compile(r"on ([\d.]+) × ([\d.]+) m")
    ground = []
    for shown in (alone, beside):
        length, width = size.findall(shown.largest.sentence)[0]  # type: ignore[union-attr]
        ground.append(float(length) * float(width))
    assert ground[0] > ground[1]


def test_a_hall_keeps_two_metres_to_its_walls_or_says_that_it_cannot() -> None:
    """In a hall 2 m to walls are kept first; on a tiny one games go to the wall, and it is said."""
    hall = make_pitch(length_m=33.0, width_m=18.0, surface="indoor", is_indoor=True)
    assert (
        fits(10, 0, pitch=hall, area="whole", age=None)
        .ways[0]
        .clear.startswith("Fits with 2 m clear all round")
    )
    tiny = make_pitch(length_m=11.0, width_m=6.0, surface="indoor", is_indoor=True)
    way = fits(2, 0, pitch=tiny, area="whole", age=None).ways[0]
    assert "a wall" in way.clear


def test_a_margin_that_was_typed_or_is_the_clubs_own_comes_first() -> None:
    """What the coach typed is kept; else what the club's table says for the age, else published."""
    typed = fits(10, 0, age=None, margin_m=5.0).ways[0]
    assert typed.clear.startswith("Fits with 5 m clear all round")
    pitch = make_pitch(width_m=64.0)
    own = replace(
        published_formats()[0], code="ours", age_from=12, age_to=12, run_off_m=4.0, valid_until=None
    )
    place = FitPlace(pitch, as_stored(pitch.area("half-1")), A_WEDNESDAY, (own,))
    shown = see_what_fits(place, FitWish(8, 0, None, None, 12))
    assert shown.ways[0].clear.startswith("Fits with 4 m clear all round")


def test_seven_year_olds_are_never_spread_out() -> None:
    """No drawing of the page, the largest single game included, has more than their match has."""
    shown = fits(8, 0, age=7, area="half-1")
    sizes = [size for way in shown.ways for size in way.sizes] + [shown.largest.sentence]  # type: ignore[union-attr]
    for words in sizes:
        found = re.search(r"(\d+) v (\d+) on ([\d.]+) × ([\d.]+) m", words)
        assert found is not None
        players = int(found[1]) + int(found[2])
        assert float(found[3]) * float(found[4]) / players <= 50.6
