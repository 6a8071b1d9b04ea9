"""Words on a plan: on their ground, on the drawing, or in the key."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from clubplanner.domain.ground.orientation.measures import size_in_words, tenth
from clubplanner.geometry.shapes import rectangle
from clubplanner.outputs.drawings.plan_values import (
    TINTS,
    AreaRole,
    PlanArea,
    PlanMark,
    PlanPiece,
)
from tests.builders import make_pitch
from tests.outputs.plans_drawn import L_HALL, PILLAR, draw, on_drawing, other, own


def test_sizes_in_words() -> None:
    """Sizes are in metres to a tenth and yards to a whole."""
    assert size_in_words(100 / 3, 64) == "33.3 × 64 m (36 × 70 yd)"
    assert tenth(9.15) == "9.2"
    assert tenth(20.0) == "20"


@settings(max_examples=30)
@given(
    st.floats(5, 130),
    st.floats(5, 130),
    st.tuples(st.floats(0, 0.97), st.floats(0, 0.97), st.floats(0.02, 1), st.floats(0.02, 1)),
    st.sampled_from(["U12 Kestrels", "TARNHOLT WANDERERS UNDER THIRTEENS", "WWW", "Ω" * 40]),
    st.sampled_from(list(AreaRole)),
    st.sampled_from(["", "7", "128"]),
    st.sampled_from([200.0, 360.0, 720.0]),
)
def test_labels_never_overflow(
    length_m: float,
    width_m: float,
    part: tuple[float, float, float, float],
    name: str,
    role: AreaRole,
    mark: str,
    width: float,
) -> None:
    """Whatever the shape of pitch and area, no label reaches over the drawing's edge."""
    edges = dict.fromkeys(("start", "far", "left", "right"), name)
    pitch = make_pitch(length_m=length_m, width_m=width_m, cuts=(), goals=(), edge_names=edges)
    x, y = part[0] * length_m, part[1] * width_m
    area = rectangle(x, y, max(0.3, (length_m - x) * part[2]), max(0.3, (width_m - y) * part[3]))
    held = PlanArea(area, name, ("18:00–19:15",), role, mark=mark)
    drawing = draw(pitch, held, shows_size=True, width=width)
    assert drawing.overflowing() == []


@settings(max_examples=30)
@given(st.floats(0, 96), st.floats(1, 60), st.floats(1, 40), st.sampled_from([100.0, 33.0]))
def test_labels_of_pieces_never_overflow(x: float, length: float, width: float, on: float) -> None:
    """The sides and size of a game stay on the drawing however small its ground is."""
    pitch = make_pitch(length_m=on, width_m=60)
    piece = rectangle(min(x, on - 1), 5, min(length, on - min(x, on - 1)), width)
    middle = (piece.centroid.x, piece.centroid.y)
    marks = (PlanMark(piece.bounds[0], piece.bounds[1], "12", middle),)
    game = PlanPiece(piece, "10 v 10 + 2 GK", length, width, marks=marks)
    drawing = draw(pitch, own(pitch.polygon), pieces=(game,), focus=pitch.polygon)
    assert drawing.overflowing() == []
    assert "10 v 10 + 2 GK" in " ".join(drawing.words()), "in one line or two"


def test_what_has_no_room_on_a_game_is_told_in_the_key() -> None:
    """A game too small for its words gets a letter, and the key says what it is."""
    pitch = make_pitch(length_m=33, width_m=60)
    for side, is_in_key in ((30.0, False), (4.0, True)):
        game = PlanPiece(rectangle(1, 5, side, side), "3 v 3", side, side, name="Game 7")
        drawing = draw(pitch, own(pitch.polygon), pieces=(game,), focus=pitch.polygon)
        assert drawing.words().count("A") == 2 * is_in_key
        in_key = f"Game 7: 3 v 3, {side:.0f} × {side:.0f} m" in drawing.words()
        assert (in_key, "Game 7" in drawing.words()) == (is_in_key, not is_in_key)


def test_equal_rectangles_without_a_name_carry_their_size_where_it_fits() -> None:
    """Of a rectangle that is not called anything only its size is written, and no key made."""
    pitch = make_pitch(length_m=33, width_m=60)
    for side, is_written in ((30.0, True), (4.0, False)):
        area = PlanPiece(rectangle(1, 5, side, side), "", side, side)
        drawing = draw(pitch, own(pitch.polygon), pieces=(area,), focus=pitch.polygon)
        assert (f"{side:.0f} × {side:.0f} m" in drawing.words()) is is_written
        assert "A" not in drawing.words()


def test_labels_of_an_l_shaped_hall_stay_on_its_ground() -> None:
    """The label of an L-shaped hall stands on the hall, not in its missing corner."""
    pitch = make_pitch("Hall", polygon=L_HALL, cuts=(), goals=(), obstacles=(PILLAR,))
    drawing = draw(pitch, other(L_HALL, "Boxing and Judo"))
    ground = on_drawing(drawing, pitch, L_HALL)
    found = [t for t in drawing.texts if t.words and t.words in "Boxing and Judo"]
    assert found
    for text in found:
        assert ground.covers(shapely.box(*text.box))
    u_shape = Polygon([(0, 0), (30, 0), (30, 20), (24, 20), (24, 4), (6, 4), (6, 20), (0, 20)])
    pitch = make_pitch("Court", polygon=u_shape, cuts=(), goals=())
    drawing = draw(pitch, other(u_shape, "Boxing and Judo"))
    ground = on_drawing(drawing, pitch, u_shape)
    assert all(ground.covers(shapely.box(*t.box)) for t in drawing.texts if t.words in "Judo")


@pytest.mark.parametrize("size", [0.05, 0.5, 2.0])
def test_tiny_areas_are_drawn_without_a_label(size: float) -> None:
    """Ground too small for words is drawn all the same; its mark says who it is."""
    tiny = rectangle(50, 30, size, size)
    drawing = draw(make_pitch(), other(tiny, "U14 Harriers", mark="2"))
    assert len(drawing.filled(TINTS[0])) == 1
    assert "U14 Harriers" not in drawing.words()
    assert "2" in drawing.words()


def test_headings_shrink_and_wrap_before_they_go() -> None:
    """A heading too wide for one line takes two, times go before the name does."""
    pitch = make_pitch()
    quarter = pitch.area("quarter-1").polygon
    words = draw(pitch, other(quarter, "Harriers Reserves")).words()
    assert words[:4] == ["Harriers", "Reserves", "18:00–", "19:15"]
    low = rectangle(0, 0, 60, 9)
    words = draw(pitch, other(low, "Harriers")).words()
    assert "Harriers" in words
    assert "18:00–19:15" not in words
