"""The words on a ground plan: who is where, how large own ground is, what a rectangle is for.

Each finds its place through `lettering`: in the middle where it fits, smaller, in more lines or
elsewhere on its ground where it does not, in the key below where there is no such place.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from clubplanner.domain.ground.orientation.measures import size_in_short
from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.lettering import (
    LEAST,
    SIZES,
    extent,
    layouts,
    plated,
    spots_along,
    spots_on,
)
from clubplanner.outputs.drawings.plan_values import AreaRole
from clubplanner.outputs.drawings.plans.plan_sizes import draw_size

if TYPE_CHECKING:
    from collections.abc import Iterable

    from shapely.geometry.base import BaseGeometry

    from clubplanner.outputs.drawings.lettering import Lettering, Lines, Spots
    from clubplanner.outputs.drawings.plan_values import (
        GroundPlan,
        PlanArea,
        PlanMark,
        PlanPiece,
    )
    from clubplanner.outputs.drawings.plans.plan_sheet import Sheet

MARK_REACH = 30.0
"""Units from an edge within which its sign has its middle."""
CORNER = 13.0
"""Units from a corner of an area to the middle of its badge, each way."""


def label_areas(plan: GroundPlan, sheet: Sheet, lettering: Lettering, view: Polygon) -> list[str]:
    """Write who has each area, and the dimensions of own ground."""
    parts: list[str] = []
    own = [area for area in plan.areas if area.role is AreaRole.OWN]
    if plan.shows_size:
        parts.extend(part for area in own for part in draw_size(area, sheet, lettering))
    shown = [area for area in plan.areas if not (plan.pieces and area.role is AreaRole.OWN)]
    grounds = {area: _ground_of(area, plan, sheet, view) for area in shown}
    shown = [area for area in shown if grounds[area].area]
    for area in shown:
        if area.mark:
            parts.extend(lettering.badge(area.mark, grounds[area], _corners(grounds[area])))
    for area in sorted(shown, key=lambda area: area.role is not AreaRole.OWN):
        parts.extend(_label_area(area, grounds[area], lettering))
    return parts


def _ground_of(area: PlanArea, plan: GroundPlan, sheet: Sheet, view: Polygon) -> BaseGeometry:
    """Return what is seen of an area on the sheet: later areas lie on top of it."""
    later = plan.areas[plan.areas.index(area) + 1 :]
    over = shapely.union_all([sheet.placed(other.polygon) for other in later])
    whole = sheet.placed(shapely.intersection(area.polygon, view))
    seen = shapely.difference(whole, over)
    return seen if seen.area else whole


def _corners(ground: BaseGeometry) -> Spots:
    """Return where a badge may lie in a corner, that at the top left first."""
    x0, y0, x1, y1 = ground.bounds
    return np.array(
        [(x, y) for y in (y0 + CORNER, y1 - CORNER) for x in (x0 + CORNER, x1 - CORNER)]
    )


def _label_area(area: PlanArea, ground: BaseGeometry, lettering: Lettering) -> list[str]:
    heading = area.heading.strip()
    if not heading:
        return []
    is_own = area.role is AreaRole.OWN
    label = _set_label(layouts(svg.clip_words(heading, 60), area.details), ground, lettering)
    if label is not None:
        return [plated(*label, is_bare=is_own)]
    if area.mark:  # the table beside the plan says who it is
        return []
    mark = lettering.refer(", ".join((heading, *area.details)))
    return lettering.badge(mark, ground, _label_spots(ground))


def _set_label(
    choices: Iterable[Lines], ground: BaseGeometry, lettering: Lettering
) -> tuple[Lines, float, float] | None:
    """Take a place for the first layout that finds one on its ground."""
    x0, y0, x1, y1 = ground.bounds
    spots = None
    for lines in choices:
        size = extent(lines)
        if size[0] > x1 - x0 or size[1] > y1 - y0:
            continue
        spots = _label_spots(ground) if spots is None else spots
        spot = lettering.place(size, spots, ground)
        if spot is not None:
            return lines, *spot
    return None


def _label_spots(ground: BaseGeometry) -> Spots:
    """Return where a label may have its middle: that of the ground, where it is widest, others."""
    x0, y0, x1, y1 = ground.bounds
    best = [((x0 + x1) / 2, (y0 + y1) / 2)]
    if isinstance(ground, Polygon | MultiPolygon) and ground.area:
        inner = shapely.maximum_inscribed_circle(ground, tolerance=1.0).coords[0]
        best.append((inner[0], inner[1]))
    return np.vstack([best, spots_on(ground)])


def label_pieces(plan: GroundPlan, sheet: Sheet, lettering: Lettering) -> list[str]:
    """Write what each rectangle is, and the signs for which there is room."""
    parts: list[str] = []
    floors = [_floor_of(piece, sheet) for piece in plan.pieces]
    for piece, floor in zip(plan.pieces, floors, strict=True):
        for mark in piece.marks:
            lines = [(mark.words, LEAST, True)]
            spot = lettering.place(extent(lines), _mark_spots(mark, sheet), floor)
            if spot is not None:
                parts.append(plated(lines, *spot))
    for piece, floor in zip(plan.pieces, floors, strict=True):
        parts.extend(_label_piece(piece, floor, lettering))
    return parts


def _floor_of(piece: PlanPiece, sheet: Sheet) -> BaseGeometry:
    """Return what of a rectangle may be written on: all but the zones at its ends."""
    inner = shapely.difference(piece.polygon, shapely.union_all(list(piece.end_zones)))
    return sheet.placed(inner if inner.area else piece.polygon)


def _label_piece(piece: PlanPiece, floor: BaseGeometry, lettering: Lettering) -> list[str]:
    size = size_in_short(piece.length_m, piece.width_m)
    label = _set_label(_piece_layouts(piece, size), floor, lettering)
    if label is not None:
        return [plated(*label)]
    if not piece.heading:  # equal ones need not be told apart; the summary says their size
        return []
    words = f"{piece.name}: {piece.heading}, {size}" if piece.name else f"{piece.heading}, {size}"
    mark = piece.heading if piece.heading.isdigit() else lettering.refer(words)
    return lettering.badge(mark, floor, _label_spots(floor))


def _piece_layouts(piece: PlanPiece, size: str) -> Iterable[Lines]:
    """Offer ways to set sides and size: "5 v 5" is never broken, goalkeepers may go beneath."""
    above = [piece.name] if piece.name else []
    if not piece.heading:
        yield [(size, LEAST, False)]
        return
    broken = piece.heading.replace(" + ", "\n+ ").split("\n")
    for beneath in ((size,), ()):
        for letters in SIZES:
            for lines in ([piece.heading], broken):
                named = [(line, letters, True) for line in lines]
                first = [(line, max(LEAST, letters - 1), False) for line in above]
                yield [*first, *named, *((line, LEAST, False) for line in beneath)]


def _mark_spots(mark: PlanMark, sheet: Sheet) -> Spots:
    """Return where a sign may lie: as near to the edge it stands at as is free."""
    x, y = sheet.place(mark.x_m, mark.y_m)
    to_x, to_y = sheet.place(*mark.inward)
    way = min(1.0, MARK_REACH / max(1.0, float(np.hypot(to_x - x, to_y - y))))
    return spots_along((x, y), (x + (to_x - x) * way, y + (to_y - y) * way), 0.0)
