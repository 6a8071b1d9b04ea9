"""Reading a venue's pitches from a GeoJSON file (RFC 7946: longitude first, WGS 84)."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import shapely
from shapely import LineString, Polygon

from clubplanner.domain.grounds import Goal, GoalKind, Pitch
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.plans import CUTS, GoalPlan, MarkingPlan, PitchPlan, PlanError, build_pitch
from clubplanner.geometry.cells import TooManyCellsError
from clubplanner.geometry.frame import Frame, frame_polygon
from clubplanner.geometry.shapes import GRID_M, explain_fault, rectangle
from clubplanner.inputs.faults import Faults
from clubplanner.inputs.fields import Fields

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.domain.problems import Problem

ROLES = ("pitch", "marking", "area", "goal", "obstacle", "entrance")
LONGEST_M, SHORTEST_M = 400.0, 3.0
FULL_GOAL_M = (7.32, 2.44)
"""Goal width and height, inside (IFAB Laws of the Game, Law 1)."""
MOST_FEATURES = 1000


@dataclass(frozen=True, slots=True)
class GroundsRead:
    """What a grounds file gave: complete only when there is no problem.

    Attributes:
        venue_key: The venue the file says it belongs to; blank when it does not.
        pitches: In the order of the file.
        problems: Every fault.
    """

    venue_key: str
    pitches: tuple[Pitch, ...]
    problems: tuple[Problem, ...]


def read_grounds(text: str, file_name: str) -> GroundsRead:
    """Read a grounds file.

    The file is a FeatureCollection with a member "venue" that names the venue. Each feature has a
    "role": a pitch (a traced polygon, or length_m × width_m, or corners_m), and what belongs to a
    pitch by its name: marking, area, goal, obstacle, entrance.
    """
    faults = Faults(file_name)
    features, venue = _read_collection(text, faults)
    venue_key = key_from_name(venue) if venue else ""
    drafts: dict[str, _Draft] = {}
    parts: list[_Feature] = []
    for number, raw in enumerate(features, start=1):
        feature = _read_feature(number, raw, faults)
        if feature is None:
            continue
        if feature.role == "pitch":
            draft = _read_pitch(feature, venue_key)
            if draft is not None and draft.name in drafts:
                feature.fields.fault("name", "repeated", f"Two pitches are called “{draft.name}”")
            elif draft is not None:
                drafts[draft.name] = draft
        else:
            parts.append(feature)
    for part in parts:
        _attach(part, drafts)
    if not drafts and not faults.found:
        faults.add("", "empty", "No feature has the role “pitch”; add one for each pitch")
    pitches = [pitch for draft in drafts.values() if (pitch := draft.build()) is not None]
    return GroundsRead(venue_key, tuple(pitches), tuple(faults.found))


@dataclass(slots=True)
class _Feature:
    role: str
    geometry: dict[str, Any]
    fields: Fields


@dataclass(slots=True)
class _Draft:
    """A pitch in the making, with what other features add to it."""

    name: str
    plan: PitchPlan
    feature: _Feature
    markings: list[MarkingPlan] = field(default_factory=list)
    drawn: list[tuple[str, Polygon]] = field(default_factory=list)
    obstacles: list[Polygon] = field(default_factory=list)
    goals: list[Goal] = field(default_factory=list)
    entrance: tuple[float, float] | None = None

    def build(self) -> Pitch | None:
        values = {name: getattr(self.plan, name) for name in PitchPlan.__dataclass_fields__}
        values["markings"] = (*self.plan.markings, *self.markings)
        values["drawn"] = tuple(self.drawn)
        values["obstacles"] = (*self.plan.obstacles, *self.obstacles)
        values["entrance"] = self.entrance
        values["standing_goals"] = tuple(self.goals)
        try:
            return build_pitch(PitchPlan(**values))
        except (PlanError, TooManyCellsError) as fault:
            message = str(fault)
            self.feature.fields.fault("", "plan", message[:1].upper() + message[1:])
            return None


def _read_collection(text: str, faults: Faults) -> tuple[list[Any], str]:
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as fault:
        faults.add("", "not-json", f"The file cannot be read: {fault}")
        return [], ""
    if not isinstance(data, dict) or data.get("type") != "FeatureCollection":
        faults.add("", "not-geojson", "The file must hold a GeoJSON FeatureCollection")
        return [], ""
    features = data.get("features")
    if not isinstance(features, list) or len(features) > MOST_FEATURES:
        faults.add("", "no-features", f"“features” must be a list of at most {MOST_FEATURES}")
        features = []
    venue = data.get("venue")
    if not isinstance(venue, str) or not venue.strip():
        faults.add("", "no-venue", "Add “venue” beside “features”, with the venue's name")
        venue = ""
    return features, venue.strip()


def _read_feature(number: int, raw: Any, faults: Faults) -> _Feature | None:
    place = f"feature {number}"
    if not isinstance(raw, dict) or raw.get("type") != "Feature":
        faults.add(place, "not-a-feature", "This is no GeoJSON Feature")
        return None
    properties = raw.get("properties")
    values = properties if isinstance(properties, dict) else {}
    if isinstance(values.get("name"), str) and values["name"].strip():
        place += f" (“{values['name'].strip()}”)"
    fields = Fields(place, values, faults)
    role = fields.choice("role", ROLES, "pitch")
    geometry = raw.get("geometry")
    if geometry is not None and not isinstance(geometry, dict):
        fields.fault("", "not-a-geometry", "“geometry” must be an object or null")
        return None
    return None if fields.failed else _Feature(role, geometry or {}, fields)


def _read_pitch(feature: _Feature, venue_key: str) -> _Draft | None:
    fields = feature.fields
    name = fields.text("name", required=True)
    frame, polygon = _read_outline(feature)
    is_indoor = fields.yes("indoor")
    edge_names = fields.take("names") or {}
    if not isinstance(edge_names, dict) or not all(isinstance(v, str) for v in edge_names.values()):
        fields.fault("names", "wrong-kind", "Write {“north”: “Clubhouse end”, …}")
        edge_names = {}
    cuts = fields.take("cuts") or []
    if not isinstance(cuts, list) or not all(isinstance(cut, str) for cut in cuts):
        fields.fault("cuts", "wrong-kind", f"Write a list of {', '.join(CUTS)}")
        cuts = []
    goals = tuple(_read_goal_plan(entry) for entry in fields.objects("goals"))
    markings = tuple(_read_marking(entry) for entry in fields.objects("markings"))
    obstacles = tuple(_read_box(entry) for entry in fields.objects("obstacles"))
    surface = fields.text("surface", required=True).lower()
    is_lit, portable = fields.yes("floodlights"), int(fields.number("portable_goals", 0, 100, 0))
    fields.done()
    if fields.failed or polygon is None:
        return None
    plan = PitchPlan(
        name=name,
        venue_key=venue_key,
        surface=surface,
        is_lit=is_lit or is_indoor,
        is_indoor=is_indoor,
        polygon=polygon,
        frame=frame,
        edge_names=edge_names,
        cuts=tuple(dict.fromkeys(cuts)),
        markings=markings,
        goals=goals,
        obstacles=obstacles,
        portable_goals=portable,
    )
    return _Draft(name, plan, feature)


def _read_outline(feature: _Feature) -> tuple[Frame | None, Polygon | None]:
    fields = feature.fields
    has_size = any(key in fields.values for key in ("length_m", "width_m", "corners_m"))
    frame: Frame | None
    polygon: Polygon | None
    if feature.geometry.get("type") == "Polygon" and not has_size:
        traced = _traced_polygon(feature)
        if traced is None:
            return None, None
        frame, polygon = frame_polygon(traced)
    elif has_size:
        frame, polygon = _measured_outline(feature)
        if polygon is None:
            return None, None
    else:
        fields.fault("", "no-outline", "Trace the pitch as a Polygon, or give length_m and width_m")
        return None, None
    x0, y0, x1, y1 = polygon.bounds
    if not (SHORTEST_M <= x1 - x0 <= LONGEST_M and SHORTEST_M <= y1 - y0 <= LONGEST_M):
        fields.fault(
            "",
            "size",
            f"The pitch measures {x1 - x0:.1f} × {y1 - y0:.1f} m; a pitch has "
            f"{SHORTEST_M:g} to {LONGEST_M:g} m each way (longitude comes first)",
        )
        return None, None
    return frame, polygon


def _measured_outline(feature: _Feature) -> tuple[Frame | None, Polygon | None]:
    fields = feature.fields
    frame = None
    if feature.geometry:
        bearing = fields.number("bearing_deg", 0, 360)
        point = _lonlat(feature.geometry.get("coordinates"))
        if feature.geometry.get("type") != "Point" or point is None:
            fields.fault(
                "",
                "not-a-point",
                "With length_m and width_m the geometry is null, or a "
                "Point at the corner from which the length runs along bearing_deg",
            )
            return None, None
        frame = Frame(point[0], point[1], bearing % 360.0)
    if "corners_m" in fields.values:
        polygon = _metre_polygon(fields, fields.take("corners_m"))
        return frame, polygon
    length, width = (fields.number(key, SHORTEST_M, LONGEST_M) for key in ("length_m", "width_m"))
    return frame, rectangle(0.0, 0.0, length, width)


def _metre_polygon(fields: Fields, corners: Any) -> Polygon | None:
    try:
        points = [(float(x), float(y)) for x, y in corners]
        polygon = shapely.set_precision(Polygon(points), GRID_M, mode="pointwise")
    except (TypeError, ValueError):
        fields.fault(
            "corners_m", "not-corners", "Write at least three corners: [[0, 0], [30, 0], …]"
        )
        return None
    reason = explain_fault(polygon)
    if reason:
        fields.fault("corners_m", "outline", reason[:1].upper() + reason[1:])
        return None
    x0, y0, _, _ = polygon.bounds
    return shapely.affinity.translate(polygon, -x0, -y0)


def _traced_polygon(feature: _Feature) -> Polygon | None:
    rings = feature.geometry.get("coordinates")
    points = [
        [_lonlat(position) for position in ring] if isinstance(ring, list) else [None]
        for ring in (rings if isinstance(rings, list) else [])
    ]
    if not points or any(None in ring or len(ring) < 4 for ring in points):
        feature.fields.fault(
            "",
            "outline",
            "The outline must be rings of [longitude, latitude], "
            "each with at least three corners and closed on its first",
        )
        return None
    polygon = Polygon(points[0], points[1:])
    reason = explain_fault(polygon)
    if reason:
        feature.fields.fault("", "outline", reason[:1].upper() + reason[1:])
        return None
    return polygon


def _lonlat(position: Any) -> tuple[float, float] | None:
    if not isinstance(position, list) or len(position) < 2:
        return None
    lon, lat = position[:2]
    if not all(isinstance(v, (int, float)) and math.isfinite(v) for v in (lon, lat)):
        return None
    return (float(lon), float(lat)) if -180 <= lon <= 180 and -90 <= lat <= 90 else None


def _read_goal_plan(fields: Fields) -> GoalPlan:
    plan = GoalPlan(
        at=fields.text("at") or "both ends",
        width_m=fields.number("width_m", 0.5, 12, FULL_GOAL_M[0]),
        height_m=fields.number("height_m", 0.3, 6, FULL_GOAL_M[1]),
        kind=GoalKind(fields.choice("kind", [kind.value for kind in GoalKind], "fixed")),
    )
    fields.done()
    return plan


def _read_marking(fields: Fields) -> MarkingPlan:
    goals = [_read_goal_plan(entry) for entry in fields.objects("goals")]
    marking = MarkingPlan(
        name=fields.text("name", required=True),
        count=int(fields.number("count", 1, 12, 1)),
        length_m=fields.number("length_m", SHORTEST_M, LONGEST_M),
        width_m=fields.number("width_m", SHORTEST_M, LONGEST_M),
        lies_across=fields.choice("lies", ("across", "along"), "across") == "across",
        goals=goals[0] if goals else None,
    )
    fields.done()
    return marking


def _read_box(fields: Fields) -> Polygon:
    fields.text("name")
    x, y = (fields.number(key, 0, LONGEST_M) for key in ("x_m", "y_m"))
    length, width = (fields.number(key, 0.05, LONGEST_M) for key in ("length_m", "width_m"))
    fields.done()
    return rectangle(x, y, length, width)


def _attach(part: _Feature, drafts: dict[str, _Draft]) -> None:
    fields = part.fields
    draft = drafts.get(fields.text("pitch", required=True))
    name = fields.text("name")
    if draft is None or draft.plan.frame is None:
        if fields.values.get("pitch"):
            fields.fault(
                "pitch",
                "no-such-pitch",
                f"No traced pitch of this file is called "
                f"“{fields.text('pitch')}”; write one of {_quoted(list(drafts))}",
            )
        return
    frame = draft.plan.frame
    if part.role == "entrance":
        point = _lonlat(part.geometry.get("coordinates"))
        if part.geometry.get("type") != "Point" or point is None:
            fields.fault("", "not-a-point", "An entrance is a Point: [longitude, latitude]")
            return
        draft.entrance = frame.local_from_lonlat(*point)
    elif part.role == "goal":
        _attach_goal(part, draft, frame)
    else:
        _attach_polygon(part, draft, frame, name)
    fields.done()


def _attach_polygon(part: _Feature, draft: _Draft, frame: Frame, name: str) -> None:
    fields = part.fields
    if part.geometry.get("type") != "Polygon":
        fields.fault("", "not-a-polygon", f"The {part.role} must be traced as a Polygon")
        return
    traced = _traced_polygon(part)
    if traced is None:
        return
    polygon = shapely.set_precision(frame.local_polygon(traced), GRID_M)
    if part.role == "obstacle":
        draft.obstacles.append(polygon)
        return
    if not name:
        fields.fault("name", "missing", f"The {part.role} has no name; write what people call it")
        return
    if part.role == "area":
        draft.drawn.append((name, polygon))
        return
    goals = [_read_goal_plan(entry) for entry in fields.objects("goals")]
    draft.markings.append(MarkingPlan(name, goals=goals[0] if goals else None, traced=polygon))


def _attach_goal(part: _Feature, draft: _Draft, frame: Frame) -> None:
    fields = part.fields
    positions = part.geometry.get("coordinates")
    ends = [_lonlat(p) for p in positions] if isinstance(positions, list) else []
    posts = [frame.local_from_lonlat(*end) for end in ends if end is not None]
    height = fields.number("height_m", 0.3, 6, FULL_GOAL_M[1])
    kind = GoalKind(fields.choice("kind", [kind.value for kind in GoalKind], "fixed"))
    if part.geometry.get("type") != "LineString" or len(posts) != 2 or posts[0] == posts[1]:
        fields.fault("", "not-a-line", "A goal is a LineString from post to post")
        return
    (x0, y0), (x1, y1) = posts
    along = math.degrees(math.atan2(y1 - y0, x1 - x0)) % 180.0
    width = LineString(posts).length
    draft.goals.append(Goal((x0 + x1) / 2, (y0 + y1) / 2, along, width, height, kind))


def _quoted(names: Sequence[str]) -> str:
    return ", ".join(f"“{name}”" for name in names) or "(there is none)"
