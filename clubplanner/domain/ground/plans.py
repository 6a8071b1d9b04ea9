"""From a plan of a pitch (outline, cuts, markings, names) to its areas, cells and goals."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import shapely

from clubplanner.domain.ground.grounds import Area, Edges, Goal, GoalKind, Pitch
from clubplanner.domain.ground.leaving_out import advise
from clubplanner.domain.keys import key_from_name
from clubplanner.geometry.cells import TooManyCellsError, cells_of, find_cells
from clubplanner.geometry.cuts import cut_grid, cut_strips, lay_across
from clubplanner.geometry.frame import COMPASS, angle_between_deg, compass_point
from clubplanner.geometry.shapes import common_ground, interior_overlap_m2, largest_part, snap
from clubplanner.language import ENGLISH, _, figure, in_running_text, sentence, speaking, term

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from shapely import Polygon

    from clubplanner.geometry.frame import Frame

CUTS = {"halves": 2, "thirds": 3, "quarters": 4, "grid": 4}
"""Equal cuts a plan may name, and into how many parts; "grid" is two by two."""
FURTHEST_GOAL_M = 3.0
"""How far off the pitch a traced goal may stand: behind its line, or traced by hand."""
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


def build_pitch(plan: PitchPlan) -> Pitch:
    """Lay out a pitch: name its edges, cut it, compute cells, stand up its goals.

    Raises:
        PlanError: If a name, cut, marking or goal does not go with the pitch, or the areas cut it
            into more than 63 pieces.
    """
    with speaking(plan.language):
        edges = name_edges(plan.frame, plan.edge_names)
        drafts, marking_goals = _draft_areas(plan, edges)
    try:
        cells = find_cells([draft.polygon for draft in drafts])
    except TooManyCellsError as fault:
        raise PlanError(advise(_parts_of(drafts), fault.pieces)) from fault
    areas = []
    for draft in drafts:
        mask = cells_of(draft.polygon, cells)
        if mask == 0:
            raise PlanError(
                _("“%(draft)s” holds no ground; leave it out or draw it larger", draft=draft.name)
            )
        areas.append(Area(draft.key, draft.name, draft.cut, draft.polygon, mask, draft.twelfths))
    _check_keys(areas)
    goals = [goal for wish in plan.goals for goal in _stand_goals(plan.polygon, edges, plan, wish)]
    _check_goals(plan)
    return Pitch(
        key=f"{plan.venue_key}-{key_from_name(plan.name)}",
        name=plan.name,
        venue_key=plan.venue_key,
        surface=plan.surface,
        is_lit=plan.is_lit,
        is_indoor=plan.is_indoor,
        polygon=plan.polygon,
        frame=plan.frame,
        edges=edges,
        areas=tuple(areas),
        goals=(*goals, *plan.standing_goals, *marking_goals),
        obstacles=plan.obstacles,
        portable_goals=plan.portable_goals,
        entrance=plan.entrance,
    )


def name_edges(frame: Frame | None, names: Mapping[str, str]) -> Edges:
    """Give the four edges their names.

    Each compass point goes to the edge that faces most nearly that way; edges without a name of
    their own are called by the way they face, or by their place where no frame is known.

    Raises:
        PlanError: If two names go to the same edge, or a name's place is not understood.
    """
    if frame is None:
        known = {
            "start": _("Start end"),
            "far": _("Far end"),
            "right": _("Right side"),
            "left": _("Left side"),
        }
        unknown = set(names) - set(known)
        if unknown:
            raise PlanError(
                _(
                    "without a bearing an edge is called start, far, left or right, not "
                    "“%(unknown)s”",
                    unknown=min(unknown),
                )
            )
        return Edges(**{**known, **names})
    facing = _facing(frame)
    result = {}
    for edge, bearing in facing.items():
        point = sentence(term(compass_point(bearing)))
        result[edge] = (
            _("%(point)s end", point=point)
            if edge in ("start", "far")
            else _("%(point)s side", point=point)
        )
    taken: dict[str, str] = {}
    for point, name in names.items():
        edge = point if point in facing else _edge_facing(facing, point)
        if edge in taken:
            raise PlanError(
                _(
                    "“%(name)s” and “%(taken)s” both name the same edge; this pitch lies towards "
                    "the %(point)s",
                    name=name,
                    taken=taken[edge],
                    point=term(compass_point(frame.bearing_deg)),
                )
            )
        taken[edge] = name
        result[edge] = name
    return Edges(**result)


@dataclass(frozen=True, slots=True)
class _Draft:
    key: str
    name: str
    cut: str
    polygon: Polygon
    twelfths: int | None
    part: str = ""  # the marking or area that it belongs to


def _parts_of(drafts: Sequence[_Draft]) -> dict[str, list[Polygon]]:
    """Group areas as a person would leave them out; what always goes with a pitch under ""."""
    parts: dict[str, list[Polygon]] = {}
    for draft in drafts:
        part = term(draft.cut) if draft.cut in CUTS else draft.part
        parts.setdefault(part, []).append(draft.polygon)
    return parts


def _draft_areas(plan: PitchPlan, edges: Edges) -> tuple[list[_Draft], list[Goal]]:
    drafts = [_Draft("whole", _("Whole of %(plan)s", plan=plan.name), "whole", plan.polygon, 12)]
    for cut in plan.cuts:
        drafts.extend(_draft_cut(plan.polygon, edges, cut))
    goals: list[Goal] = []
    for marking in plan.markings:
        laid, standing = _draft_marking(plan.polygon, marking)
        drafts.extend(laid)
        goals.extend(standing)
    for name, polygon in plan.drawn:
        inside = largest_part(snap(common_ground(polygon, plan.polygon)))
        if polygon.area - interior_overlap_m2(polygon, plan.polygon) > STRAY_M2:
            raise PlanError(
                _("area “%(name)s” reaches over the edge of %(plan)s", name=name, plan=plan.name)
            )
        if inside is None:
            raise PlanError(
                _("“%(name)s” holds no ground; leave it out or draw it larger", name=name)
            )
        drafts.append(_Draft(f"drawn-{key_from_name(name)}", name, "drawn", inside, None, name))
    return drafts, goals


def _draft_cut(pitch: Polygon, edges: Edges, cut: str) -> list[_Draft]:
    if cut not in CUTS:
        raise PlanError(_("“%(cut)s” is not a cut; write %(cuts)s", cut=cut, cuts=", ".join(CUTS)))
    count = CUTS[cut]
    pieces = cut_grid(pitch, 2, 2) if cut == "grid" else cut_strips(pitch, count)
    if len(pieces) != count:
        raise PlanError(
            _("the outline cannot be cut into %(cut)s: a piece would be empty", cut=cut)
        )
    word = {"halves": "half", "thirds": "third"}.get(cut, "quarter")
    stem = "corner" if cut == "grid" else word
    return [
        _Draft(f"{stem}-{n + 1}", name, cut, piece, 12 // count)
        for n, (piece, name) in enumerate(zip(pieces, _part_names(cut, edges), strict=True))
    ]


def _part_names(cut: str, edges: Edges) -> tuple[str, ...]:
    start, far = _short(edges.start), _short(edges.far)
    if cut == "halves":
        return _("%(end)s half", end=start), _("%(end)s half", end=far)
    if cut == "thirds":
        return (
            _("%(end)s third", end=start),
            _("Middle third"),
            _("%(end)s third", end=far),
        )
    if cut == "quarters":
        return (
            _("%(end)s quarter", end=start),
            _("Inner %(end)s quarter", end=in_running_text(start)),
            _("Inner %(end)s quarter", end=in_running_text(far)),
            _("%(end)s quarter", end=far),
        )
    return tuple(
        _("%(end)s corner, %(side)s", end=end, side=in_running_text(side))
        for end in (start, far)
        for side in (edges.right, edges.left)
    )


def _short(edge: str) -> str:
    """Return "Clubhouse" for "Clubhouse end"."""
    return edge.removesuffix(_("%(point)s end", point="")).removesuffix(
        _("%(point)s side", point="")
    )


def _draft_marking(pitch: Polygon, marking: MarkingPlan) -> tuple[list[_Draft], list[Goal]]:
    shapes = (
        (marking.traced,)
        if marking.traced is not None
        else lay_across(
            pitch, marking.count, marking.length_m, marking.width_m, across=marking.lies_across
        )
    )
    drafts, goals = [], []
    for n, shape in enumerate(shapes):
        name = marking.name if len(shapes) == 1 else f"{marking.name} {n + 1}"
        if shape.area - interior_overlap_m2(shape, pitch) > STRAY_M2:
            raise PlanError(_("marking “%(name)s” reaches over the edge of the pitch", name=name))
        key = f"marking-{key_from_name(name)}"
        drafts.append(_Draft(key, name, "markings", shape, None, marking.name))
        if marking.goals is not None:
            goals.extend(_end_goals(shape, marking.goals, across=_lies_across(marking, shape)))
    return drafts, goals


def _lies_across(marking: MarkingPlan, shape: Polygon) -> bool:
    if marking.traced is None:
        return marking.lies_across
    x0, y0, x1, y1 = shape.bounds
    return bool(y1 - y0 > x1 - x0)


def _end_goals(shape: Polygon, plan: GoalPlan, *, across: bool) -> list[Goal]:
    x0, y0, x1, y1 = shape.bounds
    middle_x, middle_y = (x0 + x1) / 2, (y0 + y1) / 2
    spots = ((middle_x, y0), (middle_x, y1)) if across else ((x0, middle_y), (x1, middle_y))
    along = 0.0 if across else 90.0
    return [Goal(x, y, along, plan.width_m, plan.height_m, plan.kind) for x, y in spots]


def _stand_goals(pitch: Polygon, edges: Edges, plan: PitchPlan, wish: GoalPlan) -> list[Goal]:
    if wish.at == "both ends":
        return _end_goals(pitch, wish, across=False)
    edge = _edge_called(edges, plan.frame, wish.at)
    x0, y0, x1, y1 = pitch.bounds
    middle_x, middle_y = (x0 + x1) / 2, (y0 + y1) / 2
    x, y, along = {
        "start": (x0, middle_y, 90.0),
        "far": (x1, middle_y, 90.0),
        "right": (middle_x, y0, 0.0),
        "left": (middle_x, y1, 0.0),
    }[edge]
    return [Goal(x, y, along, wish.width_m, wish.height_m, wish.kind)]


def _edge_called(edges: Edges, frame: Frame | None, name: str) -> str:
    for edge in ("start", "far", "right", "left"):
        if name.lower() in (edge, getattr(edges, edge).lower()):
            return edge
    if frame is not None:
        return _edge_facing(_facing(frame), name)
    raise PlanError(
        _(
            "no edge is called “%(name)s”; write “both ends” or the name of an end or side",
            name=name,
        )
    )


def _facing(frame: Frame) -> dict[str, float]:
    x = frame.bearing_deg
    return {"far": x, "right": x + 90.0, "start": x + 180.0, "left": x - 90.0}


def _edge_facing(facing: Mapping[str, float], point: str) -> str:
    if point not in COMPASS:
        raise PlanError(
            _(
                "“%(point)s” is not a compass point; write one of %(compass)s",
                point=point,
                compass=", ".join(COMPASS),
            )
        )
    wanted = COMPASS.index(point) * 45.0
    return min(facing, key=lambda edge: angle_between_deg(facing[edge], wanted))


def _check_goals(plan: PitchPlan) -> None:
    near = shapely.buffer(plan.polygon, FURTHEST_GOAL_M)
    for goal in plan.standing_goals:
        if not near.contains(goal.mouth):
            raise PlanError(
                _(
                    "the goal at %(x_m)s m along and %(y_m)s m across stands off the pitch; "
                    "correct where it stands",
                    x_m=figure(goal.x_m, "g"),
                    y_m=figure(goal.y_m, "g"),
                )
            )


def _check_keys(areas: list[Area]) -> None:
    seen: set[str] = set()
    for area in areas:
        if area.key in seen:
            raise PlanError(
                _("two areas are called “%(area)s”; give each a name of its own", area=area.name)
            )
        seen.add(area.key)
