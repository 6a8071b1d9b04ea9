"""The ground plan: a pitch drawn to scale with who is where. One drawing for page, picture, paper.

Told apart by label, hatch and border as well as by colour: the squad's own ground is the only one
with a heavy border and no hatch, so it is unmistakable in grey too.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import shapely

from clubplanner.domain.grounds import Goal, GoalKind, Pitch, yards_from_metres
from clubplanner.outputs import svg

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

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
        tint: Picks colour and hatch; any number, neighbours should differ.
        mark: A short sign that a table beside the plan repeats, such as "3"; blank for none.
    """

    polygon: Polygon
    heading: str
    details: tuple[str, ...]
    role: AreaRole
    tint: int = 0
    mark: str = ""


@dataclass(frozen=True, slots=True)
class PlanPiece:
    """A rectangle to play in, drawn on an area.

    Attributes:
        polygon: Metres of the pitch's frame.
        heading: Such as "4 v 3".
        length_m: Longer side, for its label.
        width_m: Shorter side.
        goals: Goal lines, as lines in metres.
        end_zones: Strips at the ends that are played to, metres.
    """

    polygon: Polygon
    heading: str
    length_m: float
    width_m: float
    goals: tuple[BaseGeometry, ...] = ()
    end_zones: tuple[BaseGeometry, ...] = ()


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
        focus: Ground to zoom to, metres; None for the whole pitch.
        shows_size: Whether own ground carries its dimensions.
    """

    pitch: Pitch
    title: str
    summary: str
    areas: tuple[PlanArea, ...] = ()
    cut_lines: tuple[Polygon, ...] = ()
    pieces: tuple[PlanPiece, ...] = ()
    focus: Polygon | None = None
    shows_size: bool = False


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Where metres land on the drawing."""

    left: float
    bottom: float
    scale: float
    x0: float
    y0: float
    width: float

    def place(self, x: float, y: float) -> tuple[float, float]:
        return self.left + (x - self.x0) * self.scale, self.bottom - (y - self.y0) * self.scale


SIDE, TOP, FOOT = 29.0, 28.0, 54.0
SIZE_FOOT = 46.0
"""Further room below the ground for its dimensions."""


def draw_ground_plan(plan: GroundPlan, *, width: float = 360.0, tallest: float = 420.0) -> str:
    """Draw a plan as SVG.

    Args:
        plan: What to draw.
        width: Width of the drawing in its own units; text is 10 to 14 units high.
        tallest: Height the ground itself may take.

    Returns:
        A whole SVG element; the same plan gives the same text.
    """
    x0, y0, x1, y1 = (plan.focus if plan.focus is not None else plan.pitch.polygon).bounds
    scale = min((width - 2 * SIDE) / (x1 - x0), tallest / (y1 - y0))
    ground_width, ground_height = (x1 - x0) * scale, (y1 - y0) * scale
    sheet = _Sheet((width - ground_width) / 2, TOP + ground_height, scale, x0, y0, width)
    body = [
        *_draw_ground(plan, sheet),
        *(part for area in plan.areas for part in _draw_area(area, sheet)),
        *(part for piece in plan.pieces for part in _draw_piece(piece, sheet)),
        *_draw_fixtures(plan, sheet),
        *(part for area in plan.areas for part in _label_area(area, sheet, plan)),
        *_label_edges(plan, sheet, ground_width, ground_height),
        *_draw_foot(plan, sheet, width, ground_width),
    ]
    height = TOP + ground_height + _foot(plan)
    return svg.document(width, height, plan.title, plan.summary, body)


def size_in_words(length_m: float, width_m: float) -> str:
    """Write a size in metres and yards: "33.3 × 64 m (36 × 70 yd)"."""
    yards = f"{yards_from_metres(length_m):.0f} × {yards_from_metres(width_m):.0f} yd"
    return f"{metres_in_words(length_m)} × {metres_in_words(width_m)} m ({yards})"


def metres_in_words(metres: float) -> str:
    """Write metres to a tenth, without a needless ".0"."""
    return f"{metres:.1f}".removesuffix(".0")


def _draw_ground(plan: GroundPlan, sheet: _Sheet) -> list[str]:
    pitch = plan.pitch
    fill = GROUND_FILLS.get(pitch.surface, OTHER_GROUND_FILL)
    whole = pitch.polygon if plan.focus is None else plan.focus
    parts = [svg.element("path", d=svg.path_of(whole, sheet.place), fill=fill, fill_rule="evenodd")]
    for line in plan.cut_lines:
        shown = line if plan.focus is None else shapely.intersection(line, plan.focus)
        parts.append(
            svg.element(
                "path",
                d=svg.path_of(shown, sheet.place),
                fill="none",
                stroke=SOFT_INK,
                stroke_width=0.7,
                stroke_dasharray="2 4",
            )
        )
    return parts


def _draw_area(area: PlanArea, sheet: _Sheet) -> list[str]:
    data = svg.path_of(area.polygon, sheet.place)
    if area.role is AreaRole.OWN:
        return [
            svg.element(
                "path",
                d=data,
                fill=OWN_FILL,
                stroke=OWN_EDGE,
                stroke_width=3.2,
                stroke_linejoin="round",
                fill_rule="evenodd",
            )
        ]
    number = area.tint % len(TINTS)
    closed = area.role is AreaRole.CLOSED
    angles = (45, 135) if closed else (HATCH_ANGLES[number],)
    lines = [
        svg.element(
            "path",
            d=svg.path_of(
                svg.hatch(area.polygon, (4.0 if closed else 7.0) / sheet.scale, angle), sheet.place
            ),
            stroke=SOFT_INK,
            stroke_width=0.7,
            fill="none",
            stroke_opacity=0.55,
        )
        for angle in angles
    ]
    fill = CLOSED_FILL if closed else TINTS[number]
    edge = svg.element(
        "path", d=data, fill="none", stroke=INK, stroke_width=1.1, stroke_linejoin="round"
    )
    return [svg.element("path", d=data, fill=fill, fill_rule="evenodd"), *lines, edge]


def _draw_piece(piece: PlanPiece, sheet: _Sheet) -> list[str]:
    parts = [
        svg.element(
            "path",
            d=svg.path_of(piece.polygon, sheet.place),
            fill=PAPER,
            fill_opacity=0.82,
            stroke=INK,
            stroke_width=1.6,
        )
    ]
    for zone in piece.end_zones:
        lines = svg.hatch(zone, 5.0 / sheet.scale, 45)
        parts.append(
            svg.element(
                "path",
                d=svg.path_of(lines, sheet.place),
                stroke=SOFT_INK,
                stroke_width=0.8,
                fill="none",
            )
        )
        parts.append(
            svg.element(
                "path",
                d=svg.path_of(zone, sheet.place),
                stroke=INK,
                stroke_width=0.8,
                stroke_dasharray="3 2",
                fill="none",
            )
        )
    parts.extend(
        svg.element(
            "path",
            d=svg.path_of(goal, sheet.place),
            stroke=INK,
            stroke_width=5,
            stroke_linecap="butt",
            fill="none",
        )
        for goal in piece.goals
    )
    x0, y0, x1, y1 = piece.polygon.bounds
    x, y = sheet.place((x0 + x1) / 2, (y0 + y1) / 2)
    room = (x1 - x0) * sheet.scale - 8
    half = svg.text_width(piece.heading, 13.0, bold=True) / 2 + 5
    x = _within(x, half, sheet.width - half)
    parts.append(_plated([(piece.heading, 13.0, True), *_piece_size(piece, room)], x, y))
    return parts


def _piece_size(piece: PlanPiece, room: float) -> list[tuple[str, float, bool]]:
    text = f"{metres_in_words(piece.length_m)} × {metres_in_words(piece.width_m)} m"
    return [(text, 10.5, False)] if svg.text_width(text, 10.5) <= room else []


def _draw_fixtures(plan: GroundPlan, sheet: _Sheet) -> list[str]:
    pitch = plan.pitch
    seen = plan.focus
    parts: list[str] = []
    for obstacle in pitch.obstacles:
        shape = obstacle if seen is None else shapely.intersection(obstacle, seen)
        parts.append(
            svg.element(
                "path", d=svg.path_of(shape, sheet.place), fill=SOFT_INK, stroke=INK, stroke_width=1
            )
        )
    outline = pitch.polygon if seen is None else seen
    parts.append(
        svg.element(
            "path", d=svg.path_of(outline, sheet.place), fill="none", stroke=INK, stroke_width=1.4
        )
    )
    reach = None if seen is None else shapely.buffer(seen, 0.6)
    parts.extend(
        _draw_goal(goal, pitch, sheet)
        for goal in pitch.goals
        if reach is None or reach.contains(goal.mouth)
    )
    if pitch.entrance is not None and seen is None:
        parts.extend(_draw_entrance(pitch, sheet))
    return parts


def _draw_goal(goal: Goal, pitch: Pitch, sheet: _Sheet) -> str:
    """Draw a goal as a box behind its line; a dashed one can be carried away."""
    depth = min(max(1.8, 5.0 / sheet.scale), 8.0 / sheet.scale)
    (ax, ay), (bx, by) = goal.mouth.coords
    centre = pitch.polygon.centroid
    normal = math.radians(goal.along_deg + 90.0)
    dx, dy = math.cos(normal) * depth, math.sin(normal) * depth
    if (goal.x_m - centre.x) * dx + (goal.y_m - centre.y) * dy < 0:
        dx, dy = -dx, -dy
    corners = [(ax, ay), (ax + dx, ay + dy), (bx + dx, by + dy), (bx, by)]
    return svg.element(
        "path",
        d=svg.path_of(shapely.LineString(corners), sheet.place),
        fill="none",
        stroke=INK,
        stroke_width=2.4,
        stroke_linejoin="round",
        stroke_dasharray="3 2" if goal.kind is GoalKind.PORTABLE else None,
    )


def _draw_entrance(pitch: Pitch, sheet: _Sheet) -> list[str]:
    if pitch.entrance is None:
        return []
    x0, y0, x1, y1 = pitch.polygon.bounds
    x = min(max(pitch.entrance[0], x0), x1)
    y = min(max(pitch.entrance[1], y0), y1)
    px, py = sheet.place(x, y)
    return [
        svg.element("circle", cx=px, cy=py, r=7.5, fill=INK, stroke=PAPER, stroke_width=1.5),
        svg.label("in", px, py - 0.5, size=9, bold=True, fill=PAPER),
    ]


def _label_area(area: PlanArea, sheet: _Sheet, plan: GroundPlan) -> list[str]:
    is_own = area.role is AreaRole.OWN
    parts: list[str] = []
    if is_own and plan.shows_size:
        parts.extend(_draw_size(area, sheet))
    if plan.pieces and is_own:
        return parts
    if area.mark:
        left, top = sheet.place(area.polygon.bounds[0], area.polygon.bounds[3])
        parts.append(_badge(area.mark, left + 13, top + 13))
    for spot in _label_spots(area.polygon):
        lines, x, y = _lines_about(area, sheet, spot, has_size=is_own and plan.shows_size)
        if lines and _lies_on(lines, (x, y), area.polygon, sheet):
            parts.append(_plated(lines, x, y, bare=is_own))
            break
    return parts


def _label_spots(polygon: Polygon) -> list[tuple[float, float]]:
    """Return where a label may have its middle, best first, metres."""
    x0, y0, x1, y1 = polygon.bounds
    inner = shapely.maximum_inscribed_circle(polygon, tolerance=0.5).coords[0]
    return [((x0 + x1) / 2, (y0 + y1) / 2), (inner[0], inner[1])]


def _lines_about(
    area: PlanArea, sheet: _Sheet, spot: tuple[float, float], *, has_size: bool
) -> tuple[list[tuple[str, float, bool]], float, float]:
    """Choose the lines of a label about a spot, and move it clear of size and badge."""
    x, y = sheet.place(*spot)
    room, tall = (extent * sheet.scale - 10 for extent in _room_about(area.polygon, *spot))
    if has_size:  # the width's label has the right edge
        room -= 26
        x -= 13
    if area.mark and tall < 70:  # the badge has the left edge
        room -= 26
        x += 13
    elif area.mark:
        tall -= 44
    return _lines_that_fit(area, room, tall), x, y


def _lies_on(
    lines: list[tuple[str, float, bool]],
    middle: tuple[float, float],
    polygon: Polygon,
    sheet: _Sheet,
) -> bool:
    """Tell whether a label about a point of the drawing lies wholly on its ground."""
    wide, tall = _extent(lines)
    x = sheet.x0 + (middle[0] - sheet.left) / sheet.scale
    y = sheet.y0 + (sheet.bottom - middle[1]) / sheet.scale
    reach_x, reach_y = wide / 2 / sheet.scale, tall / 2 / sheet.scale
    box = shapely.box(x - reach_x, y - reach_y, x + reach_x, y + reach_y)
    return bool(shapely.covers(polygon, box))


def _extent(lines: list[tuple[str, float, bool]]) -> tuple[float, float]:
    """Return how wide and tall lines of (text, size, bold) are."""
    wide = max(svg.text_width(text, size, bold=bold) for text, size, bold in lines)
    return wide, sum(size * 1.25 for _, size, _ in lines)


def _room_about(polygon: Polygon, x: float, y: float) -> tuple[float, float]:
    """Return how wide and how tall a box about a point may be, metres, to stay on the ground."""
    x0, y0, x1, y1 = polygon.bounds
    across = shapely.intersection(shapely.LineString([(x0, y), (x1, y)]), polygon)
    along = shapely.intersection(shapely.LineString([(x, y0), (x, y1)]), polygon)
    return _reach(across, x, 0), _reach(along, y, 1)


def _reach(crossing: BaseGeometry, value: float, axis: int) -> float:
    """Return twice the way from a place on a line to the nearer end of the part it lies on."""
    for part in getattr(crossing, "geoms", (crossing,)):
        low, high = part.bounds[axis], part.bounds[axis + 2]
        if low <= value <= high:
            return float(2 * min(value - low, high - value))
    return 0.0


def _within(value: float, low: float, high: float) -> float:
    """Return the value nearest to one wanted that lies between two others."""
    return max(low, min(value, high))


def _badge(mark: str, x: float, y: float) -> str:
    """Draw the sign by which a table beside the plan refers to an area."""
    return svg.element(
        "g",
        svg.element("circle", cx=x, cy=y, r=9, fill=PAPER, stroke=INK, stroke_width=1.2),
        svg.label(mark, x, y, size=11 if len(mark) < 3 else 8.5, bold=True),
    )


def _lines_that_fit(area: PlanArea, room: float, tall: float) -> list[tuple[str, float, bool]]:
    heading = svg.clip_words(area.heading, 60)
    for size in (13.0, 11.5, 10.0):
        lines = svg.wrap(heading, size, room, bold=True)
        details = [line for text in area.details for line in svg.wrap(text, size - 1, room) or [""]]
        if lines is None or "" in details:
            continue
        wanted = [(line, size, True) for line in lines] + [(d, size - 1, False) for d in details]
        for shown in (wanted, wanted[: len(lines)]):
            if sum(line[1] * 1.25 for line in shown) <= tall:
                return shown
    return []


def _plated(lines: list[tuple[str, float, bool]], x: float, y: float, *, bare: bool = False) -> str:
    """Write lines of (text, size, bold) about a point, on a plate that keeps hatches off."""
    if not lines:
        return ""
    wide, tall = _extent(lines)
    parts = []
    if not bare:
        parts.append(
            svg.element(
                "rect",
                x=x - wide / 2 - 4,
                y=y - tall / 2 - 3,
                width=wide + 8,
                height=tall + 6,
                rx=4,
                fill=PAPER,
                fill_opacity=0.88,
            )
        )
    top = y - tall / 2
    for text, size, bold in lines:
        parts.append(svg.label(text, x, top + size * 0.625, size=size, bold=bold))
        top += size * 1.25
    return svg.element("g", *parts)


def _draw_size(area: PlanArea, sheet: _Sheet) -> list[str]:
    """Draw how long and how wide own ground is: below the pitch, and inside its right edge."""
    x0, y0, x1, y1 = area.polygon.bounds
    left, top = sheet.place(x0, y1)
    right, bottom = sheet.place(x1, y0)
    base = sheet.bottom + 31
    across = right - 11
    length = f"{metres_in_words(x1 - x0)} m · {yards_from_metres(x1 - x0):.0f} yd"
    width = f"{metres_in_words(y1 - y0)} m · {yards_from_metres(y1 - y0):.0f} yd"
    half_length = svg.text_width(length, 12, bold=True) / 2 + 2
    middle = _within((left + right) / 2, half_length, sheet.width - half_length)
    half_width = svg.text_width(width, 12, bold=True) / 2
    middle_y = max(top + half_width + 6, min((top + bottom) / 2, top + (bottom - top) * 0.24))
    if bottom - top < 2 * half_width + 12:
        middle_y = max((top + bottom) / 2, half_width + 2)
    return [
        _arrow(left, base, right, base),
        svg.label(length, middle, base + 12, size=12, bold=True),
        _arrow(across, top + 3, across, bottom - 3),
        svg.label(width, across - 9, middle_y, size=12, bold=True, turn_deg=-90),
    ]


def _arrow(x0: float, y0: float, x1: float, y1: float) -> str:
    """Draw a dimension line with a bar at each end."""
    bar = 4.0
    flat = abs(y1 - y0) < abs(x1 - x0)
    ends = [
        f"M{x - (0 if flat else bar):.1f} {y - (bar if flat else 0):.1f}"
        f"L{x + (0 if flat else bar):.1f} {y + (bar if flat else 0):.1f}"
        for x, y in ((x0, y0), (x1, y1))
    ]
    data = f"M{x0:.1f} {y0:.1f}L{x1:.1f} {y1:.1f}" + "".join(ends)
    return svg.element("path", d=data, stroke=INK, stroke_width=1.2, fill="none")


def _label_edges(plan: GroundPlan, sheet: _Sheet, wide: float, tall: float) -> list[str]:
    if plan.focus is not None:
        return []
    edges = plan.pitch.edges
    middle_y = sheet.bottom - tall / 2
    middle_x = sheet.left + wide / 2
    names = (
        (edges.start, sheet.left - 19, middle_y, -90.0, max(tall, 44.0)),
        (edges.far, sheet.left + wide + 19, middle_y, 90.0, max(tall, 44.0)),
        (edges.left, middle_x, sheet.bottom - tall - 15, 0.0, max(wide, 110.0)),
        (edges.right, middle_x, sheet.bottom + 15, 0.0, max(wide, 110.0)),
    )
    parts = []
    for name, x, y, turn, room in names:
        shown = svg.clip_to_width(name, 11, room)
        parts.append(svg.label(shown, x, y, size=11, fill=SOFT_INK, turn_deg=turn))
    return parts


def _foot(plan: GroundPlan) -> float:
    return FOOT + (SIZE_FOOT if plan.shows_size else 0.0)


def _draw_foot(plan: GroundPlan, sheet: _Sheet, width: float, wide: float) -> list[str]:
    """Draw the scale bar and which way north is."""
    y = sheet.bottom + _foot(plan) - 16
    length_m = next((n for n in (50, 20, 10, 5, 2, 1) if n * sheet.scale <= wide * 0.45), 1)
    long = length_m * sheet.scale
    parts = [
        _arrow(SIDE, y, SIDE + long, y),
        svg.label(f"{length_m} m", SIDE + long + 8, y, size=11, anchor="start", fill=SOFT_INK),
    ]
    frame = plan.pitch.frame
    if frame is not None:
        parts.append(_draw_north(frame.bearing_deg, width - SIDE - 14, y - 2))
    return parts


def _draw_north(bearing_deg: float, x: float, y: float) -> str:
    angle = bearing_deg - 90.0  # the drawing's "up" is 90° left of the pitch's x
    needle = svg.element(
        "path", d="M0 -13L5 9L0 5L-5 9Z", fill=INK, transform=f"rotate({-angle:.1f})"
    )
    turn = math.radians(-angle)
    tip_x, tip_y = math.sin(turn) * 21, -math.cos(turn) * 21
    return svg.element(
        "g",
        needle,
        svg.label("N", tip_x, tip_y, size=11, bold=True),
        transform=f"translate({x:.1f} {y:.1f})",
    )
