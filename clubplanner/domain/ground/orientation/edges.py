"""The four edges of a pitch: what they are called, and which one a name means."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.ground.grounds import Edges
from clubplanner.domain.ground.plans import PlanError
from clubplanner.geometry.frame import COMPASS, angle_between_deg, compass_point
from clubplanner.language import _, sentence, term

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clubplanner.geometry.frame import Frame


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


def edge_called(edges: Edges, frame: Frame | None, name: str) -> str:
    """Return which edge a name, a compass point or a place means: start, far, right or left.

    Raises:
        PlanError: If no edge is called so.
    """
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


def short_name(edge: str) -> str:
    """Return "Clubhouse" for "Clubhouse end"."""
    return edge.removesuffix(_("%(point)s end", point="")).removesuffix(
        _("%(point)s side", point="")
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
