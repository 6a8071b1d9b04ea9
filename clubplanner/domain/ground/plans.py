"""The plan of a pitch as a club describes it: outline, cuts, markings, goals, names."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from clubplanner.language import ENGLISH

if TYPE_CHECKING:
    from collections.abc import Mapping

    from shapely import Polygon

    from clubplanner.domain.ground.grounds import Goal, GoalKind
    from clubplanner.geometry.frame import Frame

CUTS = {"halves": 2, "thirds": 3, "quarters": 4, "grid": 4}
"""Equal cuts a plan may name, and into how many parts; "grid" is two by two."""
STRAY_M2 = 1.0
"""How much of a traced marking may lie off the pitch before it is called a fault."""


class PlanError(ValueError):
    """A plan that gives no usable pitch; the message says what to do."""


@dataclass(frozen=True, slots=True)
class GoalPlan:
    """A pair of goals, or one at a named edge.

    Attributes:
        at: "both ends", or the name or compass point of an end or side.
        width_m: Between the posts.
        height_m: Under the bar.
        kind: Fixed or portable.
    """

    at: str
    width_m: float
    height_m: float
    kind: GoalKind


@dataclass(frozen=True, slots=True)
class MarkingPlan:
    """Equal smaller pitches marked on the ground.

    Attributes:
        name: What they are called; numbered when there are several.
        count: How many, evenly spaced along the pitch's length.
        length_m: Goal to goal.
        width_m: Across.
        lies_across: Whether their length lies across the pitch.
        goals: Goals at both their ends, or None.
        traced: The outline in metres of the pitch's frame, where it was traced.
    """

    name: str
    count: int = 1
    length_m: float = 0.0
    width_m: float = 0.0
    lies_across: bool = True
    goals: GoalPlan | None = None
    traced: Polygon | None = None


@dataclass(frozen=True, slots=True)
class PitchPlan:
    """A pitch as a club describes it.

    Attributes:
        edge_names: Names by "start", "far", "left" and "right"; where the pitch has a frame, by
            compass point as well ("north-east": "Clubhouse end").
        drawn: Extra bookable areas by name, metres.
        goals: Goals by the edge they stand at.
        standing_goals: Goals whose place was traced.
        are_goals_known: Whether there are no others; with none at all: whether none stands there.
        language: In which ends and parts without a name of their own are called.

    The other fields are those of `Pitch`.
    """

    name: str
    venue_key: str
    surface: str
    is_lit: bool
    is_indoor: bool
    polygon: Polygon
    frame: Frame | None
    edge_names: Mapping[str, str] = field(default_factory=dict)
    cuts: tuple[str, ...] = ()
    markings: tuple[MarkingPlan, ...] = ()
    drawn: tuple[tuple[str, Polygon], ...] = ()
    goals: tuple[GoalPlan, ...] = ()
    standing_goals: tuple[Goal, ...] = ()
    obstacles: tuple[Polygon, ...] = ()
    portable_goals: int = 0
    entrance: tuple[float, float] | None = None
    language: str = ENGLISH
    are_goals_known: bool = True
