"""From a plan of a pitch to its areas, cells and goals."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from clubplanner.domain.ground.grounds import Area, Edges, Goal, Pitch
from clubplanner.domain.ground.leaving_out import advise
from clubplanner.domain.ground.orientation.edges import edge_called, name_edges, short_name
from clubplanner.domain.ground.plans import CUTS, STRAY_M2, PlanError
from clubplanner.domain.keys import key_from_name
from clubplanner.geometry.cells import TooManyCellsError, cells_of, find_cells
from clubplanner.geometry.cuts import cut_grid, cut_strips, lay_across
from clubplanner.geometry.shapes import common_ground, interior_overlap_m2, largest_part, snap
from clubplanner.language import _, figure, in_running_text, speaking, term, without_isolates

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import Polygon

    from clubplanner.domain.ground.plans import GoalPlan, MarkingPlan, PitchPlan

FURTHEST_GOAL_M = 3.0
"""How far off the pitch a traced goal may stand: behind its line, or traced by hand."""


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
        name = without_isolates(draft.name)
        areas.append(Area(draft.key, name, draft.cut, draft.polygon, mask, draft.twelfths))
    _check_keys(areas)
    goals = [goal for wish in plan.goals for goal in _stand_goals(plan.polygon, edges, plan, wish)]
    _check_goals(plan)
    standing = (*goals, *plan.standing_goals, *marking_goals)
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
        goals=standing,
        obstacles=plan.obstacles,
        portable_goals=plan.portable_goals,
        entrance=plan.entrance,
        are_goals_known=plan.are_goals_known or bool(standing),
    )


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
    start, far = short_name(edges.start), short_name(edges.far)
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
    edge = edge_called(edges, plan.frame, wish.at)
    x0, y0, x1, y1 = pitch.bounds
    middle_x, middle_y = (x0 + x1) / 2, (y0 + y1) / 2
    x, y, along = {
        "start": (x0, middle_y, 90.0),
        "far": (x1, middle_y, 90.0),
        "right": (middle_x, y0, 0.0),
        "left": (middle_x, y1, 0.0),
    }[edge]
    return [Goal(x, y, along, wish.width_m, wish.height_m, wish.kind)]


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
