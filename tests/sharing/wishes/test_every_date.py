"""Lost dates, as the share-out weighs them."""

from __future__ import annotations

import numpy as np

from clubplanner.sharing.wishes.every_date import lost_points


def test_lost_dates_cost_points_in_proportion() -> None:
    """Forty for all of them, rounded against the place."""
    lost = np.array([0b000, 0b001, 0b101, 0b111], dtype=np.uint64)
    assert lost_points(lost, 3).tolist() == [0, 14, 27, 40]
    assert lost_points(np.array([0], dtype=np.uint64), 0).tolist() == [0]
