"""Rows of pieces on round ground, against rows that are counted by their chords."""

from __future__ import annotations

import math

import pytest
from shapely import Polygon

from clubplanner.fitting import fit_pieces
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
