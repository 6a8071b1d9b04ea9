"""Reading a venue's pitches from a GeoJSON file (RFC 7946: longitude first, WGS 84)."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from shapely import LineString, Polygon

from clubplanner.domain.ground.grounds import Goal, GoalKind, Pitch
from clubplanner.domain.ground.pitch_from_plan import build_pitch
from clubplanner.domain.ground.plans import CUTS, GoalPlan, MarkingPlan, PitchPlan, PlanError
from clubplanner.domain.keys import key_from_name
from clubplanner.geometry.shapes import largest_part, snap
from clubplanner.inputs.ground_files.outlines import (
    read_lonlat,
    read_outline,
    single_part,
    traced_polygon,
)
from clubplanner.inputs.ground_files.pitch_parts import (
    FULL_GOAL_M,
    NARROWEST_GOAL_M,
    WIDEST_GOAL_M,
    read_drawn_area,
    read_goal,
    read_goal_plan,
    read_marking,
    read_obstacle,
    read_spot,
)
from clubplanner.inputs.reading.bounded import read_json
from clubplanner.inputs.reading.faults import Faults, show_value
from clubplanner.inputs.reading.fields import Fields
from clubplanner.language import ENGLISH, _, figure, quoted

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from clubplanner.domain.problems import Problem
    from clubplanner.geometry.frame import Frame

ROLES = ("pitch", "marking", "area", "goal", "obstacle", "entrance")
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


def read_grounds(text: str, file_name: str, language: str = ENGLISH) -> GroundsRead:
    """Read a grounds file.

    The file is a FeatureCollection with a member "venue" that names the venue. Each feature has a
    "role": a pitch (a traced polygon, or length_m × width_m, or corners_m), and what belongs to a
    pitch by its name: marking, area, goal, obstacle, entrance.

    Args:
        text: The file.
        file_name: How it is called when faults are told.
        language: The club's, in which ends and parts without a name of their own are called.
    """
    faults = Faults(file_name)
    features, venue = _read_collection(text, faults)
    venue_key = key_from_name(venue) if venue else ""
    drafts: dict[str, _Draft] = {}
    failed: set[str] = set()
    parts: list[_Feature] = []
    for number, raw in enumerate(features, start=1):
        feature = _read_feature(number, raw, faults)
        if feature is None:
            continue
        if feature.role == "pitch":
            draft = _read_pitch(feature, venue_key)
            if draft is None:
                failed.add(feature.fields.text("name") if feature.has_name else "")
            elif _is_taken(draft.name, drafts):
                feature.fields.fault(
                    "name",
                    "repeated",
                    _(
                        "Two pitches are called “%(draft)s”; give each a name of its own",
                        draft=draft.name,
                    ),
                )
            else:
                drafts[draft.name] = draft
        else:
            parts.append(feature)
    for part in parts:
        _attach(part, drafts, failed)
    if not drafts and not faults.found:
        faults.add("", "empty", _("No feature has the role “pitch”; add one for each pitch"))
    pitches = [pitch for draft in drafts.values() if (pitch := draft.build(language)) is not None]
    return GroundsRead(venue_key, tuple(pitches), tuple(faults.found))


@dataclass(slots=True)
class _Feature:
    role: str
    geometry: Mapping[str, Any]
    fields: Fields

    @property
    def has_name(self) -> bool:
        return isinstance(self.fields.values.get("name"), str)


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

    def build(self, language: str) -> Pitch | None:
        values = {name: getattr(self.plan, name) for name in PitchPlan.__dataclass_fields__}
        values["markings"] = (*self.plan.markings, *self.markings)
        values["drawn"] = (*self.plan.drawn, *self.drawn)
        values["obstacles"] = (*self.plan.obstacles, *self.obstacles)
        values["language"] = language
        values["entrance"] = self.entrance or self.plan.entrance
        values["standing_goals"] = (*self.plan.standing_goals, *self.goals)
        try:
            return build_pitch(PitchPlan(**values))
        except PlanError as fault:
            message = str(fault)
            self.feature.fields.fault("", "plan", message[:1].upper() + message[1:])
            return None


def _read_collection(text: str, faults: Faults) -> tuple[list[Any], str]:
    data = read_json(text, faults)
    if faults.found:
        return [], ""
    if not isinstance(data, dict) or data.get("type") != "FeatureCollection":
        faults.add("", "not-geojson", _("The file must hold a GeoJSON FeatureCollection"))
        return [], ""
    features = data.get("features")
    if not isinstance(features, list) or len(features) > MOST_FEATURES:
        faults.add(
            "",
            "no-features",
            _(
                "“features” must be a list of at most %(most_features)s",
                most_features=MOST_FEATURES,
            ),
        )
        features = []
    venue = data.get("venue")
    if not isinstance(venue, str) or not venue.strip():
        faults.add("", "no-venue", _("Add “venue” beside “features”, with the venue's name"))
        venue = ""
    return features, venue.strip()


def _read_feature(number: int, raw: Any, faults: Faults) -> _Feature | None:
    place = f"feature {number}"
    if not isinstance(raw, dict) or raw.get("type") != "Feature":
        faults.add(place, "not-a-feature", _("This is no GeoJSON Feature"))
        return None
    properties = raw.get("properties")
    values = properties if isinstance(properties, dict) else {}
    if isinstance(values.get("name"), str) and values["name"].strip():
        place += f" ({show_value(values['name'].strip())})"
    fields = Fields(place, values, faults)
    role = fields.choice("role", ROLES, "pitch")
    geometry = raw.get("geometry")
    if geometry is not None and not isinstance(geometry, dict):
        fields.fault("", "not-a-geometry", _("“geometry” must be an object or null"))
        return None
    return None if fields.failed else _Feature(role, single_part(geometry or {}), fields)


def _read_pitch(feature: _Feature, venue_key: str) -> _Draft | None:
    fields = feature.fields
    found = len(fields.faults.found)
    name = fields.text("name", required=True)
    frame, polygon = read_outline(fields, feature.geometry)
    is_indoor = fields.yes("indoor")
    edge_names = fields.take("names") or {}
    if not isinstance(edge_names, dict) or not all(isinstance(v, str) for v in edge_names.values()):
        fields.fault("names", "wrong-kind", _('Write {"north": "Clubhouse end", …}'))
        edge_names = {}
    cuts = fields.take("cuts") or []
    if not isinstance(cuts, list) or not all(isinstance(cut, str) for cut in cuts):
        fields.fault("cuts", "wrong-kind", _("Write a list of %(cuts)s", cuts=", ".join(CUTS)))
        cuts = []
    are_goals_known = fields.values.get("goals") is not None
    goals = [read_goal(entry) for entry in fields.objects("goals")]
    markings = [read_marking(entry) for entry in fields.objects("markings")]
    drawn = [read_drawn_area(entry) for entry in fields.objects("areas")]
    obstacles = [read_obstacle(entry) for entry in fields.objects("obstacles")]
    entrance = read_spot(fields, "entrance_m")
    surface = fields.text("surface", required=True).lower()
    is_lit, portable = fields.yes("floodlights"), fields.whole("portable_goals", 0, 100, 0)
    fields.done(ignores_others=True)
    if len(fields.faults.found) > found or polygon is None:
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
        markings=tuple(item for item in markings if item is not None),
        drawn=tuple(item for item in drawn if item is not None),
        goals=tuple(goal for goal in goals if isinstance(goal, GoalPlan)),
        standing_goals=tuple(goal for goal in goals if isinstance(goal, Goal)),
        obstacles=tuple(item for item in obstacles if item is not None),
        portable_goals=portable,
        entrance=entrance,
        are_goals_known=are_goals_known,
    )
    return _Draft(name, plan, feature)


def _attach(part: _Feature, drafts: dict[str, _Draft], failed: Collection[str]) -> None:
    fields = part.fields
    pitch = fields.text("pitch", required=True)
    draft = drafts.get(pitch)
    name = fields.text("name")
    if draft is None or draft.plan.frame is None:
        if pitch and pitch not in failed:  # a pitch with faults has been told of already
            traced = [d.name for d in drafts.values() if d.plan.frame is not None]
            fields.fault(
                "pitch",
                "no-such-pitch",
                _(
                    "No traced pitch of this file is called %(pitch)s; write one of %(traced)s",
                    pitch=show_value(pitch),
                    traced=_quoted(traced),
                ),
            )
        return
    frame = draft.plan.frame
    if part.role == "entrance":
        point = read_lonlat(part.geometry.get("coordinates"))
        if part.geometry.get("type") != "Point" or point is None:
            fields.fault("", "not-a-point", _("An entrance is a Point: [longitude, latitude]"))
            return
        draft.entrance = frame.local_from_lonlat(*point)
    elif part.role == "goal":
        _attach_goal(part, draft, frame)
    else:
        _attach_polygon(part, draft, frame, name)
    fields.done(ignores_others=True)


def _attach_polygon(part: _Feature, draft: _Draft, frame: Frame, name: str) -> None:
    fields = part.fields
    if part.geometry.get("type") != "Polygon":
        fields.fault(
            "", "not-a-polygon", _("The %(role)s must be traced as a Polygon", role=part.role)
        )
        return
    traced = traced_polygon(fields, part.geometry)
    if traced is None:
        return
    polygon = largest_part(snap(frame.local_polygon(traced)))
    if polygon is None:
        fields.fault(
            "",
            "outline",
            _("The %(role)s is too small to be drawn; trace it larger", role=part.role),
        )
        return
    if part.role == "obstacle":
        draft.obstacles.append(polygon)
        return
    if not name:
        fields.fault(
            "name",
            "missing",
            _("The %(role)s has no name; write what people call it", role=part.role),
        )
        return
    if part.role == "area":
        draft.drawn.append((name, polygon))
        return
    goals = [read_goal_plan(entry) for entry in fields.objects("goals")]
    draft.markings.append(MarkingPlan(name, goals=goals[0] if goals else None, traced=polygon))


def _attach_goal(part: _Feature, draft: _Draft, frame: Frame) -> None:
    fields = part.fields
    positions = part.geometry.get("coordinates")
    ends = [read_lonlat(p) for p in positions] if isinstance(positions, list) else []
    posts = [frame.local_from_lonlat(*end) for end in ends if end is not None]
    height = fields.number("height_m", 0.3, 6, FULL_GOAL_M[1])
    kind = GoalKind(fields.choice("kind", [kind.value for kind in GoalKind], "fixed"))
    if part.geometry.get("type") != "LineString" or len(ends) != 2 or len(posts) != 2:
        fields.fault("", "not-a-line", _("A goal is a LineString from post to post"))
        return
    (x0, y0), (x1, y1) = posts
    along = math.degrees(math.atan2(y1 - y0, x1 - x0)) % 180.0
    width = LineString(posts).length
    if not NARROWEST_GOAL_M <= width <= WIDEST_GOAL_M:
        fields.fault(
            "",
            "size",
            _(
                "The goal measures %(width)s m from post to post; a goal has "
                "%(narrowest_goal_m)s to %(widest_goal_m)s m",
                width=figure(width, ".2f"),
                narrowest_goal_m=figure(NARROWEST_GOAL_M, "g"),
                widest_goal_m=figure(WIDEST_GOAL_M, "g"),
            ),
        )
        return
    draft.goals.append(Goal((x0 + x1) / 2, (y0 + y1) / 2, along, width, height, kind))


def _is_taken(name: str, drafts: Iterable[str]) -> bool:
    return key_from_name(name) in {key_from_name(other) for other in drafts}


def _quoted(names: Sequence[str]) -> str:
    return ", ".join(quoted(name) for name in names) or _("(there is none)")
