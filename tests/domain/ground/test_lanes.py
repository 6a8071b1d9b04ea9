"""A pitch laid out in one dimension: how much is exact, and nobody lies over anybody."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

import pytest
import shapely

from clubplanner.domain.ground.lanes import guides_of, lanes_of
from clubplanner.geometry.shapes import rectangle
from tests.builders import make_pitch

if TYPE_CHECKING:
    from clubplanner.domain.ground.grounds import Pitch

L_SHAPE = shapely.Polygon([(0, 0), (90, 0), (90, 30), (30, 30), (30, 60), (0, 60)])
PITCHES = (
    make_pitch(),
    make_pitch(cuts=("halves",)),
    make_pitch(cuts=()),
    make_pitch(polygon=L_SHAPE, cuts=("halves", "thirds")),
)


def _length(lanes: tuple[tuple[float, float], ...]) -> float:
    return sum(end - start for start, end in lanes)


@pytest.mark.parametrize("pitch", PITCHES)
def test_every_area_is_as_long_as_its_share_of_the_ground(pitch: Pitch) -> None:
    """A third is a third, and ground of any shape has the length of its square metres."""
    lanes = lanes_of(pitch)
    for area in pitch.areas:
        share = area.polygon.area / pitch.polygon.area
        assert _length(lanes[area.key]) == pytest.approx(share, abs=1e-3)
    (whole,) = lanes["whole"]
    assert whole == pytest.approx((0.0, 1.0))


@pytest.mark.parametrize("pitch", PITCHES)
def test_ground_that_two_can_hold_at_once_shares_no_lane(pitch: Pitch) -> None:
    """Areas without common cells have lanes that do not meet, others share their common ground."""
    lanes = lanes_of(pitch)
    for one, other in combinations(pitch.areas, 2):
        shared = sum(
            max(0.0, min(a[1], b[1]) - max(a[0], b[0]))
            for a in lanes[one.key]
            for b in lanes[other.key]
        )
        common = one.polygon.intersection(other.polygon).area / pitch.polygon.area
        assert shared == pytest.approx(common, abs=1e-3)


def test_halves_thirds_and_quarters_lie_in_one_piece_in_their_order() -> None:
    """Cuts along the length keep the order in which they lie on the grass."""
    lanes = lanes_of(make_pitch())
    for count, name in ((2, "half"), (3, "third"), (4, "quarter")):
        for n in range(count):
            (lane,) = lanes[f"{name}-{n + 1}"]
            assert lane == pytest.approx((n / count, (n + 1) / count), abs=1e-3)


def test_corners_lie_in_one_piece_where_nothing_else_cuts_them() -> None:
    """Only areas that are drawn cut each other's lane: four corners alone are four quarters."""
    pitch = make_pitch()
    corners = {f"corner-{n}" for n in (1, 2, 3, 4)}
    assert all(len(lanes) == 1 for lanes in lanes_of(pitch, corners).values())
    assert any(len(lanes) > 1 for lanes in lanes_of(pitch).values())


def test_strips_across_the_width_follow_the_width() -> None:
    """Ground that is divided across its width only is laid out across it."""
    pitch = make_pitch(polygon=rectangle(0, 0, 60, 90), cuts=("grid",))
    lanes = lanes_of(pitch, {"corner-1", "corner-2"})
    assert len(lanes["corner-1"]) == len(lanes["corner-2"]) == 1


@pytest.mark.parametrize(
    ("cuts", "guides"),
    [(("halves", "thirds"), (1 / 3, 2 / 3)), (("halves",), (0.5,)), ((), ())],
)
def test_lines_stand_where_the_usual_cut_divides(
    cuts: tuple[str, ...], guides: tuple[float, ...]
) -> None:
    """Thirds where there are any, else halves; a pitch without a cut has no lines."""
    assert guides_of(make_pitch(cuts=cuts)) == pytest.approx(guides, abs=1e-3)
