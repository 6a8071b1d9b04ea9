"""Where words find their places: the first free spot of all, whatever was taken in what order."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.outputs.drawings.lettering import CLEAR, Lettering, spots_on

WIDE, TALL = 200.0, 120.0
SIZE = (18.0, 8.0)
SHAPES = st.lists(
    st.tuples(st.integers(0, 200), st.integers(0, 120), st.integers(1, 40), st.integers(1, 9)),
    max_size=60,
)


@settings(max_examples=15)
@given(SHAPES, st.integers(1, 50))
def test_each_word_stands_at_the_first_spot_that_is_free(
    shapes: list[tuple[int, int, int, int]], words: int
) -> None:
    """Held against looking at every spot and everything taken, one by one."""
    lettering = Lettering(WIDE, TALL)
    taken = []
    for x, y, wide, tall in shapes:
        box = shapely.box(x, y, x + wide, y + tall)
        lettering.block(box)
        taken.append(shapely.buffer(box, 0.05, cap_style="square"))
    ground = shapely.box(3, 3, WIDE - 3, TALL - 3)
    spots = spots_on(ground)
    for _word in range(words):
        spot = lettering.place(SIZE, spots, ground)
        assert spot == next((s for s in map(tuple, spots.tolist()) if fits(s, taken, ground)), None)
        if spot is None:
            return
        taken.append(shapely.buffer(box_about(spot, 0.0), 0.05, cap_style="square"))


def test_a_sign_is_led_to_ground_past_all_words() -> None:
    """A badge without room on its ground stands beside it; its line passes over no word."""
    lettering = Lettering(WIDE, TALL)
    ground = shapely.box(98, 58, 102, 62)
    for x in (80.0, 120.0):
        lettering.take((20.0, 30.0), x, 60.0)
    words = [shapely.box(x - 10, 45, x + 10, 75) for x in (80.0, 120.0)]
    leader, sign = lettering.badge("A", ground, np.array([(100.0, 60.0)]))
    assert ">A<" in sign
    points = [float(n) for n in leader.split('d="M')[1].split('"')[0].replace("L", " ").split()]
    line = shapely.LineString([points[:2], points[2:]])
    assert ground.buffer(0.1).covers(shapely.Point(points[2:]))
    assert not any(line.buffer(CLEAR - 0.1).intersects(word) for word in words)
    lettering.block(shapely.box(0, 0, WIDE, TALL))
    assert lettering.badge("B", ground, np.array([(100.0, 60.0)])) == []


def box_about(spot: tuple[float, ...], clear: float) -> shapely.Polygon:
    """Return the box of a word about a spot, with what stays free about it."""
    (x, y), (wide, tall) = spot, SIZE
    half_x, half_y = wide / 2 + clear, tall / 2 + clear
    return shapely.box(x - half_x, y - half_y, x + half_x, y + half_y)


def fits(spot: tuple[float, ...], taken: list[shapely.Polygon], ground: shapely.Polygon) -> bool:
    """Tell by plain looking whether a word has room."""
    box = box_about(spot, CLEAR)
    return ground.covers(box) and not any(box.intersects(other) for other in taken)
