"""Answers about a ground that are kept."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.domain.ground.grounds import GoalKind
from clubplanner.fitting import (
    GoalSpot,
    SessionNeed,
    list_ways,
)
from clubplanner.fitting.outlines.known import fit_pieces_again, forget_all
from tests.fitting.shapes import L_SHAPE, THIRD, read_bands

if TYPE_CHECKING:
    from shapely import Polygon

BANDS = read_bands()
OWEN = tuple(band for band in BANDS if band.source.startswith("Owen"))
GOAL = GoalSpot(0, 32, 7.32, GoalKind.FIXED)


def need(players: int, goalkeepers: int, ground: Polygon = THIRD, **rest: object) -> SessionNeed:
    """Build a question about under 13s on the third with a fixed goal."""
    base = SessionNeed(ground, players, goalkeepers, 13, (GOAL,), bands=OWEN)
    return replace(base, **rest)  # type: ignore[arg-type]


def test_answers_that_are_kept_are_the_same() -> None:
    """A question asked again is answered from memory, and the same as at first."""
    ask = need(19, 2, L_SHAPE, goals=(GOAL,), portable_goals=2)
    forget_all()
    first = list_ways(ask)
    misses = fit_pieces_again.cache_info().misses
    assert list_ways(ask) == first
    assert fit_pieces_again.cache_info().misses == misses > 0
