"""A way in, followed by somebody who cannot see the drawing, leads to one's own part."""

from __future__ import annotations

import math
from itertools import product
from typing import TYPE_CHECKING

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import Polygon, box

from clubplanner.domain.ground.orientation.way_in import Hand, Landmark, WayIn, find_way_in
from clubplanner.domain.ground.pitch_from_plan import build_pitch
from clubplanner.domain.ground.plans import PlanError
from clubplanner.geometry.frame import Frame
from clubplanner.geometry.walks import TOUCH_M
from clubplanner.inputs.ground_files.grounds import read_grounds
from clubplanner.resources import invented_club_files
from tests.builders import make_pitch
from tests.domain.ground.walker import Walker, distance_to, follow, is_inside, turned
from tests.strategies import l_shapes, metres, plans, stars

if TYPE_CHECKING:
    from clubplanner.domain.ground.grounds import Area, Pitch
    from clubplanner.domain.ground.plans import PitchPlan

EDGES = {
    "start": "Clubhouse end",
    "far": "Road end",
    "left": "Car park side",
    "right": "Hedge side",
}
POINTS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
ANGLES = (0.0, 37.0, 90.0, 211.5)


def ring_of(polygon: Polygon) -> list[tuple[float, float]]:
    """Return the corners of an outline, each once."""
    return [(x, y) for x, y, *_ in polygon.exterior.coords[:-1]]


def walk_to(pitch: Pitch, own: Area, way: WayIn, degrees: float) -> Walker:
    """Follow a way and check that it ends where one's own part begins."""
    walker = follow(way, ring_of(pitch.polygon), degrees)
    part = [turned(spot, degrees) for spot in ring_of(own.polygon)]
    off = distance_to(walker.spot, part)
    if way.across_m:
        assert off == pytest.approx(way.across_m, abs=0.02)
    else:
        assert off <= TOUCH_M + 0.01
    earlier = [spot for spot in walker.trail if math.dist(spot, walker.spot) > 1.0]
    if not way.across_m:
        assert all(distance_to(spot, part) > 0.01 for spot in earlier)
    return walker


def check_passed(pitch: Pitch, own: Area, way: WayIn, walker: Walker, degrees: float) -> None:
    """Hold what is said to be passed against a hand's breadth beside the trail."""
    parts = {
        area.key: [turned(spot, degrees) for spot in ring_of(area.polygon)]
        for area in pitch.areas
        if area.cut == own.cut and area.key != own.key
    }
    met: dict[str, int] = {}
    for spot in walker.trail:
        for key, ring in parts.items():
            met[key] = met.get(key, 0) + (distance_to(spot, ring) <= 0.1)
    said = [key for leg in way.legs for key in leg.passed]
    assert len(said) == len(set(said))
    # the trail has a spot every half metre
    assert {key for key, count in met.items() if count > 7} <= set(said)
    assert set(said) <= {key for key, count in met.items() if count > 2}


def the_clubs_pitches() -> list[Pitch]:
    """Return every pitch of the invented club."""
    files = [path for path in invented_club_files() if path.suffix == ".geojson"]
    return [
        pitch
        for path in files
        for pitch in read_grounds(path.read_text(encoding="utf-8"), path.name).pitches
    ]


def mirrored(pitch: Pitch) -> list[tuple[float, float] | None]:
    """Return entrances: none, the pitch's own or the middle of an end, and their reflections."""
    x0, y0, x1, y1 = pitch.polygon.bounds
    x, y = pitch.entrance or (x0 - 3.0, (y0 + 2 * y1) / 3)
    corner = ring_of(pitch.polygon)[0]
    return [None, corner, *product((x, x0 + x1 - x), (y, y0 + y1 - y))]


@pytest.mark.parametrize("pitch", the_clubs_pitches(), ids=lambda pitch: pitch.key)
def test_every_part_of_the_club_is_found_by_touch(pitch: Pitch) -> None:
    """From any entrance, mirrored, in a corner or none, at any angle, the walker arrives."""
    for own, entrance, degrees in product(pitch.areas, mirrored(pitch), ANGLES):
        way = find_way_in(pitch, own, (), () if entrance is None else (entrance,))
        assert way.entrance == entrance
        walker = walk_to(pitch, own, way, degrees)
        if own.twelfths is not None:
            check_passed(pitch, own, way, walker, degrees)


@pytest.mark.parametrize("pitch", the_clubs_pitches(), ids=lambda pitch: pitch.key)
def test_the_compass_is_that_of_the_ground(pitch: Pitch) -> None:
    """The first leg leads to the compass point that its ends have as places on the globe.

    Forward azimuth of the great circle by the formula in Williams, Aviation Formulary.
    """
    frame = pitch.frame
    for own, entrance in product(pitch.areas, mirrored(pitch)):
        way = find_way_in(pitch, own, (), () if entrance is None else (entrance,))
        if not way.legs or frame is None:
            assert all(leg.towards is None for leg in way.legs)
            continue
        walker = Walker(ring_of(pitch.polygon), way.begins)
        walker.go_to_the_edge()
        walker.turn_along(way.legs[0].turn.value)
        walker.walk(way.legs[0].length_m)
        (lon1, lat1), (lon2, lat2) = (
            tuple(map(math.radians, frame.lonlat_from_local(*spot)))
            for spot in (way.begins, walker.spot)
        )
        y = math.sin(lon2 - lon1) * math.cos(lat2)
        x = math.cos(lat1) * math.sin(lat2) - math.sin(lat1) * math.cos(lat2) * math.cos(
            lon2 - lon1
        )
        bearing = math.degrees(math.atan2(y, x)) % 360
        near = {POINTS[round((bearing + wobble) / 45) % 8] for wobble in (-0.5, 0, 0.5)}
        assert way.legs[0].towards in near


ENTRANCES = st.tuples(metres(-10, 130), metres(-10, 90))


@given(plans(), st.lists(ENTRANCES, max_size=3), st.data())
@settings(deadline=None)
def test_any_cut_of_a_rectangle_is_found(
    plan: PitchPlan, entrances: list[tuple[float, float]], data: st.DataObject
) -> None:
    """With none, one or several entrances the walker arrives, and passes what is said."""
    pitch = build_pitch(plan)
    own = data.draw(st.sampled_from(pitch.areas))
    others = [area for area in pitch.areas if not area.cells & own.cells]
    held = data.draw(st.sampled_from(others)) if others else None
    way = find_way_in(pitch, own, (held,) if held else (), entrances)
    walker = walk_to(pitch, own, way, data.draw(st.sampled_from(ANGLES)))
    x0, y0, x1, y1 = pitch.polygon.bounds
    for leg in way.legs:
        assert leg.edge is not None
        assert leg.length_m <= (x1 - x0 if leg.edge in ("right", "left") else y1 - y0) + 1.01
    assert (way.entrance is None) == (not entrances)
    assert walker.spot is not None


@given(st.one_of(stars(), l_shapes()), st.lists(ENTRANCES, max_size=2), st.data())
@settings(deadline=None)
def test_any_outline_is_found(
    outline: Polygon, entrances: list[tuple[float, float]], data: st.DataObject
) -> None:
    """On outlines of any shape the walker arrives at halves, thirds, corners and drawn pieces."""
    try:
        pitch = make_pitch(polygon=outline, cuts=("halves", "thirds", "grid"), goals=())
    except PlanError:
        assume(False)
    own = data.draw(st.sampled_from(pitch.areas))
    way = find_way_in(pitch, own, (), entrances)
    walk_to(pitch, own, way, data.draw(st.sampled_from(ANGLES)))


def way_to(key: str, entrance: tuple[float, float] | None, held: tuple[str, ...] = ()) -> WayIn:
    """Find the way on a pitch of 100 × 60 m."""
    pitch = make_pitch(entrance=entrance, edge_names=EDGES)
    return find_way_in(pitch, pitch.area(key), [pitch.area(k) for k in held])


def test_round_the_corner_and_past_two_thirds() -> None:
    """From the middle of an end one goes to the nearer corner, turns, and goes two thirds on."""
    way = way_to("third-3", (0.0, 20.0), ("third-1",))
    assert [(leg.turn, leg.edge) for leg in way.legs] == [
        (Hand.RIGHT, "start"),
        (Hand.LEFT, "right"),
    ]
    assert [leg.length_m for leg in way.legs] == pytest.approx([20, 66.667], abs=0.01)
    assert [leg.passed for leg in way.legs] == [("third-1",), ("third-2",)]
    assert (way.landmark, way.at, way.across_m) == (Landmark.THIRD, ("start",), 0.0)
    assert way.reach.right_m == pytest.approx(33.333, abs=0.01)
    assert (way.reach.left_m, way.reach.deep_m) == pytest.approx((0, 60))


def test_the_mirrored_entrance_mirrors_the_hands() -> None:
    """The same way from the other side of the pitch's axis has left for right."""
    way, other = way_to("third-3", (0.0, 20.0)), way_to("third-3", (0.0, 40.0))
    assert [leg.turn for leg in other.legs] == [
        Hand.LEFT if leg.turn is Hand.RIGHT else Hand.RIGHT for leg in way.legs
    ]
    assert other.legs[1].edge == "left"


def test_ones_own_part_first_needs_no_walk() -> None:
    """Where people come in onto their own part, only how far it goes is told."""
    way = way_to("third-1", (0.0, 20.0))
    assert way.legs == ()
    reach = way.reach
    assert (reach.left_m, reach.right_m, reach.deep_m) == pytest.approx((40, 20, 33.333), abs=0.01)


def test_nobody_is_sent_across_others() -> None:
    """Ground off the edge is reached round those who are there, not through them."""
    drawn = (("Patch", box(60.0, 20.0, 90.0, 40.0)), ("Strip", box(50.0, 0.0, 100.0, 20.0)))
    pitch = make_pitch(cuts=(), drawn=drawn, entrance=(100.0, 0.0), goals=())
    patch, strip = pitch.area("drawn-patch"), pitch.area("drawn-strip")
    free = find_way_in(pitch, patch)
    assert free.legs[-1].edge == "far"
    assert free.across_m == pytest.approx(10.0)
    across = box(90.0, 15.0, 100.0, 60.0)
    pitch = make_pitch(
        cuts=(), drawn=(*drawn[:1], ("Wing", across)), entrance=(100.0, 0.0), goals=()
    )
    wing = pitch.area("drawn-wing")
    way = find_way_in(pitch, pitch.area("drawn-patch"), (wing,))
    assert way.legs[-1].edge == "right"
    assert way.across_m == pytest.approx(20.0)
    assert strip.key not in way.legs[0].passed


def test_the_best_of_several_entrances_is_taken() -> None:
    """Of a way in at each end, the one at one's own part is told."""
    pitch = make_pitch(edge_names=EDGES)
    way = find_way_in(pitch, pitch.area("third-3"), (), [(0.0, 30.0), (100.0, 30.0)])
    assert (way.entrance, way.legs) == ((100.0, 30.0), ())


def test_without_an_entrance_the_way_begins_in_a_corner() -> None:
    """A corner can be found by everybody: the way begins at the best one."""
    way = way_to("third-2", None)
    assert (way.entrance, way.at) == (None, ("start", "right"))
    assert [(leg.turn, leg.passed) for leg in way.legs] == [(Hand.RIGHT, ("third-1",))]


def test_the_notch_of_an_l_is_an_edge_without_a_name() -> None:
    """Along a notch one goes along an edge that nobody calls an end or a side."""
    hall = Polygon([(0, 0), (24, 0), (24, 10), (14, 10), (14, 18), (0, 18)])
    pitch = make_pitch(polygon=hall, cuts=(), drawn=(("Wing", box(10, 12, 14, 18)),), goals=())
    way = find_way_in(pitch, pitch.area("drawn-wing"), (), [(24.0, 9.0)])
    assert [(leg.turn, leg.edge) for leg in way.legs] == [
        (Hand.RIGHT, "far"),
        (Hand.LEFT, None),
        (Hand.RIGHT, None),
    ]


def test_ends_are_told_by_the_compass_where_the_frame_is_known() -> None:
    """On a pitch that lies to the north its right side leads north from the start."""
    pitch = make_pitch(frame=Frame(-1.2, 52.9, 0.0), entrance=(0.0, 0.0))
    assert find_way_in(pitch, pitch.area("half-2")).legs[0].towards == "north"


def test_the_walker_knows_inside_from_outside() -> None:
    """The walker's own sums are right about a ring that they were not made for."""
    hall = [(0.0, 0.0), (24.0, 0.0), (24.0, 10.0), (14.0, 10.0), (14.0, 18.0), (0.0, 18.0)]
    assert is_inside((13.0, 17.0), hall)
    assert not is_inside((15.0, 17.0), hall)
    assert distance_to((20.0, 13.0), hall) == pytest.approx(3.0)
