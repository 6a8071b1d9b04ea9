"""Run-off: clear ground kept between games and what somebody could run into.

Games are laid with it first; where none fits so, they are laid to the line, and that is said.
What is said is measured on the games as they lie. A fixed goal at the end of its own game is no
hazard to that game, to any other it is. Games may go to the line on which a fixed goal stands, or
it could not be played to; that, too, is said.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

import shapely
from shapely import Polygon

from clubplanner.domain.ground.grounds import GoalKind
from clubplanner.fitting.setting_out.laying import goals_at_ends
from clubplanner.geometry.shapes import largest_part
from clubplanner.language import _, figure, marked, term

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from shapely.geometry.base import BaseGeometry

    from clubplanner.fitting.outlines.pieces import Piece
    from clubplanner.fitting.setting_out.ways import SessionNeed

OUTDOORS_M = 3.0
"""The FA recommends 3 yards or 3 metres at least round a grass pitch (FA Handbook 2016-17 p. 556),
and ideally 6 yards between neighbours, of which each keeps half."""
INDOORS_M = 2.0
"""To walls: FIBA Official Basketball Rules art. 2 keep 2 m clear all round; handball keeps 2 m
behind the goals (Western Australian Government, Sports Dimensions Guide)."""
_SLACK_M = 0.011
"""Places are rounded to a centimetre or better."""
_AT_THE_LINE_M = 0.5
"""Less than this is said to be to the line."""


class HazardKind(StrEnum):
    """What somebody could run into."""

    EDGE = marked("an edge of the ground")
    WALL = marked("a wall")
    NEIGHBOUR = marked("a neighbour")
    OBSTACLE = marked("an obstacle")
    GOAL = marked("a fixed goal")
    GOAL_LINE = marked("a goal line")


@dataclass(frozen=True, slots=True)
class Hazard:
    """Something to keep clear of.

    Attributes:
        kind: What it is.
        shape: Where it is, metres; of an edge or wall the line, of others the ground they take.
    """

    kind: HazardKind
    shape: BaseGeometry


@dataclass(frozen=True, slots=True)
class Clearance:
    """How much clear ground games have.

    Attributes:
        metres: From any game to the nearest hazard, goal lines left out.
        kind: What the nearest is.
        to_goal_line_m: From any game to the nearest goal line; infinite where there is none.
    """

    metres: float
    kind: HazardKind
    to_goal_line_m: float = math.inf


def clear_ground(ground: Polygon, hazards: Sequence[Hazard], margin_m: float) -> Polygon | None:
    """Take from a ground what lies nearer to a hazard than a margin.

    Args:
        ground: Valid polygon, metres.
        hazards: What to keep clear of.
        margin_m: How far, metres.

    Returns:
        The largest part left; None when nothing is.
    """
    if not hazards or margin_m <= 0:
        return ground
    kept = [
        shapely.buffer(hazard.shape, margin_m, cap_style="square", join_style="mitre")
        for hazard in hazards
        if hazard.kind is not HazardKind.GOAL_LINE
    ]
    return largest_part(shapely.difference(ground, shapely.union_all(kept)))


def grounds_to_try(need: SessionNeed) -> Iterator[Polygon]:
    """List the grounds to lay games on: with run-off, then clear of fixed goals too, then all."""
    if need.hazards and need.margin_m > 0:
        clear = clear_ground(need.ground, need.hazards, need.margin_m)
        if clear is not None:
            yield clear
            goals = _goal_hazards(need)
            without = clear_ground(clear, goals, need.margin_m) if goals else None
            if without is not None:
                yield without
    yield need.ground


def measure_clearance(pieces: Sequence[Piece], need: SessionNeed) -> Clearance | None:
    """Measure how near games come to what somebody could run into.

    Args:
        pieces: The games.
        need: The question, with its hazards and goals.

    Returns:
        The nearest; None without games or hazards.
    """
    if not pieces or not need.hazards:
        return None
    found = [
        Clearance(float(hazard.shape.distance(piece.polygon)), hazard.kind)
        for hazard in need.hazards
        for piece in pieces
    ]
    lines = [one.metres for one in found if one.kind is HazardKind.GOAL_LINE]
    found = [one for one in found if one.kind is not HazardKind.GOAL_LINE]
    fixed = [goal for goal in need.goals if goal.kind is GoalKind.FIXED]
    own = {(game, goal) for game, _end, goal, _off in goals_at_ends(pieces, fixed)}
    found += [
        Clearance(max(0.0, piece.polygon.distance(hazard.shape)), hazard.kind)
        for hazard, goal in zip(_goal_hazards(need), fixed, strict=True)
        for game, piece in enumerate(pieces)
        if (game, goal) not in own
    ]
    nearest = min(found, key=lambda one: one.metres, default=Clearance(math.inf, HazardKind.EDGE))
    return replace(nearest, to_goal_line_m=min(lines, default=math.inf))


def is_clear(metres: float | None, margin_m: float) -> bool:
    """Tell whether games have the run-off that was asked for; None where nothing is known."""
    return metres is None or metres >= margin_m - _SLACK_M


def clear_as_told_m(clearance: Clearance | None, margin_m: float) -> float:
    """Return how much clear ground is round games, as it is told.

    Args:
        clearance: As measured; None where nothing is known of the surroundings.
        margin_m: What was asked for.

    Returns:
        What was asked for where there is that much, else what there is, in tenths of a metre
        rounded down; 0.0 for games to the line, and where nothing was asked for or is known.
    """
    if clearance is None or margin_m <= 0:
        return 0.0
    if is_clear(clearance.metres, margin_m):
        return margin_m
    if clearance.metres < _AT_THE_LINE_M:
        return 0.0
    return math.floor(10 * clearance.metres + 1e-6) / 10


def clearance_in_words(clearance: Clearance | None, margin_m: float) -> str:
    """Say how much clear ground there is round what was laid.

    Args:
        clearance: As measured; None where nothing is known of the surroundings.
        margin_m: What was asked for.

    Returns:
        One or two sentences; blank where nothing is known.
    """
    if clearance is None:
        return ""
    margin = figure(margin_m, ".1f" if margin_m % 1 else ".0f")
    if margin_m <= 0:
        return _("Fits to the line: no clear ground is kept round it.")
    if not is_clear(clearance.metres, margin_m):
        if clearance.metres < _AT_THE_LINE_M:
            return _(
                "Fits to the line only: %(margin)s m should be clear, and %(hazard)s is right "
                "beside it.",
                margin=margin,
                hazard=term(clearance.kind),
            )
        return _(
            "Fits with %(metres)s m clear only, not %(margin)s m: nearest is %(hazard)s.",
            metres=figure(clear_as_told_m(clearance, margin_m), ".1f"),
            margin=margin,
            hazard=term(clearance.kind),
        )
    if not is_clear(clearance.to_goal_line_m, margin_m):
        return _(
            "Fits with %(margin)s m clear all round but along the goal line: look that the ground "
            "behind it is clear.",
            margin=margin,
        )
    return _("Fits with %(margin)s m clear all round.", margin=margin)


def edges_of(ground: Polygon, kind: HazardKind = HazardKind.EDGE) -> tuple[Hazard, ...]:
    """Return the outline of a ground, and of its holes, as something to keep clear of."""
    rings = (ground.exterior, *ground.interiors)
    return tuple(Hazard(kind, shapely.LineString(ring.coords)) for ring in rings)


def _goal_hazards(need: SessionNeed) -> list[Hazard]:
    """Return fixed goals as round ground as wide as they are: which way they stand is not known."""
    return [
        Hazard(HazardKind.GOAL, shapely.Point(goal.x_m, goal.y_m).buffer(goal.width_m / 2))
        for goal in need.goals
        if goal.kind is GoalKind.FIXED
    ]
