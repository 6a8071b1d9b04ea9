"""How large own ground is, told on its plan: dimension lines, edges, and what is free beside it."""

from __future__ import annotations

import pytest
import shapely
from shapely import Polygon

from clubplanner.domain.ground.orientation.facing import Edge
from clubplanner.domain.ground.orientation.measures import Measure, measuring
from clubplanner.outputs.drawings.plan_values import OWN_FILL, GroundPlan
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from tests.builders import make_pitch
from tests.outputs.clear_drawings import faults_of
from tests.outputs.plans_drawn import L_HALL, draw, other, own


@pytest.mark.parametrize("at_bottom", list(Edge))
def test_an_l_shape_has_the_length_of_every_edge(at_bottom: Edge) -> None:
    """Each edge of the hall's L has its metres beside it, the one along the line below once."""
    # corners (0, 0), (24, 0), (24, 10), (14, 10), (14, 18), (0, 18)
    hall = make_pitch("Hall", polygon=L_HALL, cuts=(), goals=())
    drawing = draw(hall, own(L_HALL), shows_size=True, at_bottom=at_bottom)
    words = drawing.words()
    long, short = ("24 m", "18 m") if at_bottom in (Edge.RIGHT, Edge.LEFT) else ("18 m", "24 m")
    assert words.count("10 m") == 2
    assert {"8 m", "14 m", short} <= set(words)
    assert any(text.startswith(f"{long} · ") for text in words)
    assert long not in words


def test_lengths_stand_inside_by_their_edges() -> None:
    """The length of an inner edge stands on the ground, nearest to that edge."""
    hall = make_pitch("Hall", polygon=L_HALL, cuts=(), goals=())
    plan = GroundPlan(hall, "t", "s", (own(L_HALL),), shows_size=True)
    assert faults_of(draw_ground_plan(plan)) == []
    drawing = draw(hall, own(L_HALL), shows_size=True)
    (ground,) = drawing.filled(OWN_FILL)
    inner = drawing.text("8 m")  # from (14, 10) up to (14, 18)
    left, top, right, _ = ground.bounds
    scale = (right - left) / 24
    assert ground.polygon.covers(shapely.Point(inner.x, inner.y))
    assert inner.turn_deg == -90
    assert inner.x == pytest.approx(left + 14 * scale, abs=13)
    assert inner.y == pytest.approx(top + 4 * scale, abs=2)


def test_a_slanting_edge_and_another_measure() -> None:
    """A slanting edge has its own length; lengths are in the measure that was chosen."""
    cut = Polygon([(0, 0), (60, 0), (60, 30), (40, 60), (0, 60)])
    words = draw(make_pitch(), own(cut), shows_size=True).words()
    assert {"36.1 m", "30 m", "40 m"} <= set(words)  # √(20² + 30²) = 36.06
    with measuring(Measure.PACES):
        assert "33 paces" in draw(make_pitch(), own(cut), shows_size=True).words()  # 30 / 0.9


def test_free_ground_is_explained_where_there_is_some() -> None:
    """Beside held ground, what free ground looks like stands at the foot; else it does not."""
    pitch = make_pitch()
    third = pitch.area("third-1").polygon
    assert "free" in draw(pitch, other(third)).words()
    assert "free" not in draw(pitch).words()
    assert "free" not in draw(pitch, other(pitch.polygon)).words()
    swatch = GroundPlan(pitch, "t", "s", (other(third),))
    assert faults_of(draw_ground_plan(swatch)) == []
