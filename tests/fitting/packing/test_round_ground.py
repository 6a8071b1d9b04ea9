"""Round ground, against rows that are counted by their chords."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from clubplanner.fitting import fit_pieces
from clubplanner.fitting.packing.bands import Bands, is_convex
from clubplanner.fitting.packing.spans import edges_of, free_spans
from tests.fitting.shapes import fault_in_layout

SIZES = ((12.0, 12.0), (10.0, 5.0), (12.0, 8.0), (15.0, 10.0), (20.0, 15.0), (7.0, 5.0), (18, 11))


def disc(radius: float, corners: int) -> Polygon:
    """Draw a disc about (30, 20) as a ring of corners, the first of them to the right."""
    turns = [2 * math.pi * n / corners for n in range(corners)]
    return Polygon([(30 + radius * math.cos(t), 20 + radius * math.sin(t)) for t in turns])


def chord(radius: float, corners: int, off: float) -> float:
    """Measure the chord of such a ring at a distance from its middle, by its straight edges."""
    for n in range(corners // 4 + 1):
        low, high = (2 * math.pi * k / corners for k in (n, n + 1))
        bottom, top = radius * math.sin(low), radius * math.sin(high)
        if bottom <= off <= top:
            part = (off - bottom) / (top - bottom)
            return 2 * radius * ((1 - part) * math.cos(low) + part * math.cos(high))
    return 0.0


def count_rows(ring: tuple[float, int], size: tuple[float, float], gap: float, first: float) -> int:
    """Count what rows of one height hold whose lowest begins a whole number of rows from one."""
    along, height = size
    total = 0
    for number in range(-40, 40):
        bottom = first + number * (height + gap)
        widest = min(chord(*ring, abs(bottom)), chord(*ring, abs(bottom + height)))
        total += int((widest + gap + 1e-9) / (along + gap)) if widest else 0
    return total


@pytest.mark.parametrize("corners", [32, 64, 128])
@pytest.mark.parametrize("gap", [0.0, 2.0])
@pytest.mark.parametrize("radius", [12, 15, 20, 25, 30, 45])
def test_no_centred_rows_hold_more(radius: float, gap: float, corners: int) -> None:
    """Rows about the centre line, or from it, of pieces along or across, never hold more."""
    ground = disc(radius, corners)
    for length, width in SIZES:
        rows = [
            count_rows((radius, corners), (along, height), gap, first)
            for along, height in ((length, width), (width, length))
            for first in (-height / 2, gap / 2)
        ]
        fit = fit_pieces(ground, length, width, gap_m=gap)
        assert fit.count >= max(rows), (length, width)
        if corners == 32:
            assert fault_in_layout(fit.pieces, ground, gap - 2e-3) is None


def test_thirteen_squares_on_a_disc() -> None:
    """On a disc of 30 m radius 13 squares of 12 m are laid, where rows from an edge hold 10."""
    assert fit_pieces(disc(30, 64), 12, 12).count >= 13


@given(
    st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=3, max_size=12),
    st.sampled_from([0.0, 7.0, 30.0, 45.0, 61.3, 90.0]),
    st.floats(0, 1),
    st.floats(0.01, 1),
)
@settings(max_examples=150, deadline=None)
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
