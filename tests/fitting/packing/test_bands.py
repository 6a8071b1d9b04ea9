"""Bands across ground without dents, against its edges."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from clubplanner.fitting.packing.bands import Bands, is_convex
from clubplanner.fitting.packing.spans import edges_of, free_spans


@given(
    st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=3, max_size=12),
    st.sampled_from([0.0, 7.0, 30.0, 45.0, 61.3, 90.0]),
    st.floats(0, 1),
    st.floats(0.01, 1),
)
@settings(max_examples=50, deadline=None)
def test_bands_of_ground_without_dents(
    spots: list[tuple[int, int]], angle_deg: float, start: float, tall: float
) -> None:
    """Looked up along its sides, ground without dents is as free as edge by edge."""
    hull = shapely.affinity.rotate(shapely.MultiPoint(spots).convex_hull, angle_deg)
    if not isinstance(hull, Polygon) or hull.area < 1:
        return
    edges = edges_of([hull])
    assert is_convex([hull])
    bands = Bands.of(edges, is_convex=True)
    low = bands.low + start * (bands.high - bands.low) * 0.99
    high = low + tall * (bands.high - low)
    ours, truth = bands.free(low, high), free_spans(edges, low, high)
    if truth and truth[0][1] - truth[0][0] > 1e-2:
        assert ours[0] == pytest.approx(truth[0], abs=1e-2)
    elif ours:
        assert ours[0][1] - ours[0][0] <= 2e-2
