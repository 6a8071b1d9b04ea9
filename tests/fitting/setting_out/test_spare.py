"""Ground that games leave for a warm-up."""

from __future__ import annotations

import pytest
import shapely

from clubplanner.fitting import (
    Piece,
    spare_ground,
)
from tests.fitting.shapes import L_SHAPE, THIRD, fault_in_layout

HALF = shapely.box(0, 0, 50, 64)


@pytest.mark.parametrize("ground", [HALF, L_SHAPE, THIRD])
def test_spare_ground_lies_beside_the_games(ground: shapely.Polygon) -> None:
    """Room for a warm-up keeps clear of the games and lies on the ground."""
    games = [Piece(0, 0, 30, 20, 0)]
    spare = spare_ground(ground, games, 3.0)
    assert spare is not None
    assert spare.width_m >= 5
    assert fault_in_layout([*games, spare], ground, 3.0) is None


def test_no_spare_ground_on_a_full_one() -> None:
    """A ground that is full, or has only a strip left, has no room for a warm-up."""
    assert spare_ground(shapely.box(0, 0, 30, 20), [Piece(0, 0, 30, 20, 0)], 3.0) is None
    assert spare_ground(shapely.box(0, 0, 37, 20), [Piece(0, 0, 30, 20, 0)], 3.0) is None


def test_largest_spare_ground() -> None:
    """Beside a game of 30 × 20 m on a half, 41 m are left along the width, all of the length."""
    spare = spare_ground(HALF, [Piece(0, 0, 30, 20, 0)], 3.0)
    assert spare is not None
    assert spare.area_m2 == pytest.approx(41 * 50, abs=1)
