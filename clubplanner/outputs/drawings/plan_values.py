"""What a ground plan shows, and its colours."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

from clubplanner.domain.ground.orientation.facing import Edge

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

    from clubplanner.domain.ground.grounds import Pitch

INK = "#1d2a26"
SOFT_INK = "#55635d"
PAPER = "#ffffff"
OWN_FILL = "#ffd166"
OWN_EDGE = "#1d2a26"
GROUND_FILLS = {"grass": "#e3ecd6", "artificial": "#dcebe4"}
OTHER_GROUND_FILL = "#f1e8d8"
TINTS = ("#c9dcef", "#ecd3c4", "#d5d0ea", "#d3e6c8", "#f0dfb4", "#cfe5e3", "#ebcddb", "#dcd8c8")
HATCH_ANGLES = (45, 135, 0, 90, 22, 112, 67, 157)
CLOSED_FILL = "#d9d9d6"


class HolderLook(NamedTuple):
    """How the ground of whoever is not the reader is drawn.

    Attributes:
        fill: A colour.
        hatch_deg: The hatch's angle, degrees counter-clockwise from a line to the right.
        is_dashed: Whether the hatch is dashed: a hirer's is, nobody else's.
    """

    fill: str
    hatch_deg: int
    is_dashed: bool = False


def look_of(number: int) -> HolderLook:
    """Return how whoever has a number is drawn, everywhere the same.

    The first 64 numbers all differ, and numbers that follow each other differ in colour and angle.
    Numbers below 0 are hirers': their hatch is dashed, so that none looks like a squad.
    """
    is_hirer = number < 0
    number = -1 - number if is_hirer else number
    colour = number % len(TINTS)
    angle = HATCH_ANGLES[(colour + number // len(TINTS)) % len(HATCH_ANGLES)]
    return HolderLook(TINTS[colour], angle, is_hirer)


class AreaRole(StrEnum):
    """What an area is to the person looking."""

    OWN = "own"
    OTHER = "other"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class PlanArea:
    """Held ground on a plan.

    Attributes:
        polygon: Metres of the pitch's frame.
        heading: Who, in a few words.
        details: Lines beneath, such as times.
        role: Own, somebody else's, or closed.
        tint: Picks colour and hatch, as in `look_of`; neighbours should differ.
        mark: A number that a table beside the plan repeats, such as "3"; blank for none.
    """

    polygon: Polygon
    heading: str
    details: tuple[str, ...]
    role: AreaRole
    tint: int = 0
    mark: str = ""


@dataclass(frozen=True, slots=True)
class PlanMark:
    """A short sign inside the edge of a rectangle; left out where there is no room for it.

    Attributes:
        x_m: Where on the edge.
        y_m: The same.
        words: At most three letters.
        inward: A spot the sign is moved towards until it lies clear of the edge.
    """

    x_m: float
    y_m: float
    words: str
    inward: tuple[float, float]


@dataclass(frozen=True, slots=True)
class PlanPiece:
    """A rectangle to play in, drawn on an area.

    Attributes:
        polygon: Metres of the pitch's frame.
        heading: Such as "4 v 3"; blank for none.
        length_m: Longer side, for its label.
        width_m: Shorter side.
        goals: Goal lines, as lines in metres.
        end_zones: Strips at the ends that are played to, metres.
        marks: Such as where a goalkeeper stands.
        name: By which the words beside the drawing refer to it: "Game 1"; blank for none.
    """

    polygon: Polygon
    heading: str
    length_m: float
    width_m: float
    goals: tuple[BaseGeometry, ...] = ()
    end_zones: tuple[BaseGeometry, ...] = ()
    marks: tuple[PlanMark, ...] = ()
    name: str = ""


@dataclass(frozen=True, slots=True)
class PlanRunOff:
    """Clear ground round what is laid.

    Attributes:
        metres: How broad it is.
        words: Such as "3 m clear".
    """

    metres: float
    words: str


@dataclass(frozen=True, slots=True)
class GroundPlan:
    """What to draw.

    Attributes:
        pitch: The pitch.
        title: A short name of the drawing.
        summary: The drawing in words.
        areas: Held ground; later ones lie on top.
        cut_lines: Polygons whose outlines are drawn as fine lines.
        pieces: Rectangles to play in.
        focus: Ground to zoom to, metres, drawn with what of the pitch lies round it; None for the
            whole pitch.
        shows_size: Whether own ground carries its dimensions.
        markings: Painted lines, metres, drawn faint.
        at_bottom: The edge of the pitch at the bottom of the drawing.
        run_off: Clear ground round the rectangles; None where none is kept or known.
    """

    pitch: Pitch
    title: str
    summary: str
    areas: tuple[PlanArea, ...] = ()
    cut_lines: tuple[Polygon, ...] = ()
    pieces: tuple[PlanPiece, ...] = ()
    focus: Polygon | None = None
    shows_size: bool = False
    markings: tuple[BaseGeometry, ...] = ()
    at_bottom: Edge = Edge.RIGHT
    run_off: PlanRunOff | None = None


SIDE, TOP, FOOT = 29.0, 28.0, 78.0
SIZE_FOOT = 28.0
"""Further room below the ground for its dimensions."""


def foot_of(plan: GroundPlan) -> float:
    """Return the room below the ground."""
    return FOOT + (SIZE_FOOT if plan.shows_size else 0.0)
