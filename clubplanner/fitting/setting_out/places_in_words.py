"""Telling where a spot is by distances that one can pace on the ground.

From a line that can be found one walks square into the ground; where to turn is told along the
line from a corner. In a square corner that is the distance from either line. Beside a goal that is
fixed on the line it may be told from its post, and beside a side from the halfway line. Where no
line serves, it is told from a mark of the pitch, along and across it. What is the least to pace is
taken.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import shapely

from clubplanner.domain.ground.orientation.facing import Edge
from clubplanner.domain.ground.orientation.measures import USUAL_PACE_M
from clubplanner.fitting.setting_out.ground_lines import (
    ON_LINE_M,
    GroundLine,
    Landmark,
    LineKind,
    LineMark,
    MarkKind,
    Spot,
    find_landmarks,
    parallel_to,
    part_lines,
    pitch_lines,
    serving,
)
from clubplanner.fitting.setting_out.pacing import measure
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import Polygon

    from clubplanner.domain.ground.grounds import Edges
    from clubplanner.fitting.setting_out.ways import GoalSpot

OWN_LINE_COST_M, MARK_COST_M = 4.0, 2.0
"""So much less must there be to pace from a line that has to be marked first, or from a post or the
halfway line."""


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a spot is.

    Attributes:
        words: Part of a sentence: "on the Railway end line, 12 m (13 paces) from the Hedge side".
        lines: The lines it is told from.
        legs: The distances that are told, each from what can be found to where it leads.
    """

    words: str
    lines: tuple[GroundLine, ...] = ()
    legs: tuple[tuple[Spot, Spot], ...] = ()


@dataclass(frozen=True, slots=True)
class Anchors:
    """What can be found on the ground, for telling where something is.

    Attributes:
        part: The squad's own part, metres in the pitch's frame.
        edges: What people call the ends and sides of the pitch.
        lines: The lines round the part.
        pitch_lines: The lines round the pitch.
        landmarks: Single marks of the pitch.
        entrance: Where people come in; None when not known.
        reach: The part, a hair wider.
    """

    part: Polygon
    edges: Edges
    lines: tuple[GroundLine, ...]
    pitch_lines: tuple[GroundLine, ...]
    landmarks: tuple[Landmark, ...]
    entrance: Spot | None
    reach: Polygon = field(repr=False)

    @classmethod
    def of(
        cls,
        outline: Polygon,
        edges: Edges,
        part: Polygon | None = None,
        *,
        goals: Sequence[GoalSpot] = (),
        entrance: Spot | None = None,
        has_halfway: bool = False,
    ) -> Anchors:
        """Find what can be found on a pitch.

        Args:
            outline: The pitch, metres in its own frame.
            edges: What people call its ends and sides.
            part: The squad's own part; None for the whole pitch.
            goals: Goals on the part.
            entrance: Where people come in; None when not known.
            has_halfway: Whether a halfway line is marked across the middle of the length.
        """
        own = outline if part is None else part
        x0, _y0, x1, _y1 = outline.bounds
        halfway_m = (x0 + x1) / 2 if has_halfway else None
        around = pitch_lines(outline, edges)
        lines = part_lines(own, outline, edges, goals, halfway_m=halfway_m)
        reach = shapely.buffer(shapely.Polygon(own.exterior), ON_LINE_M, join_style="mitre")
        shapely.prepare(reach)
        marks = find_landmarks(outline, edges)
        return cls(own, edges, lines, around, marks, entrance, reach)

    @property
    def start(self) -> tuple[Spot, str]:
        """Where a walk begins: the way in, else the mark nearest to the part; blank for the way in.

        Returns:
            The spot, and what it is called.
        """
        if self.entrance is not None:
            return self.entrance, ""
        mark = min(
            self.landmarks,
            key=lambda mark: (
                round(self.part.distance(shapely.Point(mark.x_m, mark.y_m)), 3),
                mark.name,
            ),
        )
        return (mark.x_m, mark.y_m), mark.name

    def place(self, spot: Spot, pace_m: float = USUAL_PACE_M) -> Placed:
        """Tell where a spot of the part is."""
        found = _nearest_line(spot, self.lines, self.reach)
        if found is not None:
            line, mark = found
            return _told(spot, line, mark, self.lines, pace_m)
        return Placed(_from_landmark(spot, self.landmarks, self.edges, pace_m))

    def tell_line(self, line: GroundLine, pace_m: float = USUAL_PACE_M) -> str:
        """Tell how a line that has no name of its own is found, a sentence; blank for others."""
        if not line.must_be_found:
            return ""
        away = parallel_to(line, self.pitch_lines)
        if away:
            return _line_beside(line, away[0][1], measure(away[0][0], pace_m).walked)
        return _line_between(
            line, *(self._on_pitch(spot, pace_m) for spot in (line.start, line.end))
        )

    def _on_pitch(self, spot: Spot, pace_m: float) -> str:
        """Tell where a spot is by the lines of the pitch alone."""
        found = _nearest_line(spot, self.pitch_lines, None)
        if found is None:
            return _from_landmark(spot, self.landmarks, self.edges, pace_m)
        return _told(spot, *found, self.pitch_lines, pace_m).words


def _line_beside(line: GroundLine, other: GroundLine, distance: str) -> str:
    """Tell a line by its distance from a line of the pitch that runs beside it."""
    values = {"edge": line.edge, "distance": distance, "other": other.words}
    if line.kind is LineKind.INNER:
        return _("The inner edge towards the %(edge)s is %(distance)s from %(other)s.", **values)
    return _("Your line towards the %(edge)s is %(distance)s from %(other)s.", **values)


def _line_between(line: GroundLine, one: str, other: str) -> str:
    """Tell a line by where it begins and ends."""
    values = {"edge": line.edge, "one": one, "other": other}
    if line.kind is LineKind.INNER:
        return _("The inner edge towards the %(edge)s begins %(one)s; it ends %(other)s.", **values)
    return _("Your line towards the %(edge)s begins %(one)s; it ends %(other)s.", **values)


def _nearest_line(
    spot: Spot, lines: Sequence[GroundLine], reach: Polygon | None
) -> tuple[GroundLine, LineMark] | None:
    """Choose line and mark from which there is the least to pace; None where no line serves."""
    offers = list(serving(spot, lines))
    for line, mark in sorted(offers, key=lambda one: round(_cost(spot, one, lines), 3)):
        foot = line.spot_at(line.measure_to(spot)[0])
        if reach is None or shapely.covers(reach, shapely.LineString([foot, spot])):
            return line, mark
    return None


def _cost(spot: Spot, offer: tuple[GroundLine, LineMark], lines: Sequence[GroundLine]) -> float:
    """Return what there is to pace, with something on top for what is found less easily."""
    line, mark = offer
    along, left = line.measure_to(spot)
    used = (line, *(() if mark.line is None else (lines[mark.line],)))
    own = sum(one.must_be_found for one in used)
    cost: float = abs(along - mark.at_m) + max(left, 0.0) + OWN_LINE_COST_M * own
    return cost if mark.line is not None else cost + MARK_COST_M


def _told(
    spot: Spot, line: GroundLine, mark: LineMark, lines: Sequence[GroundLine], pace_m: float
) -> Placed:
    along, left = line.measure_to(spot)
    away = along - mark.at_m
    foot = line.spot_at(along)
    if mark.line is None:
        towards = line.along[0 if away < 0 else 1]
        is_post = mark.kind is MarkKind.GOAL
        words = (_from_post if is_post else _from_halfway)(line, (abs(away), left), towards, pace_m)
        beside = (line.spot_at(mark.at_m)[0], spot[1])  # the halfway line crosses the length
        legs = ((line.spot_at(mark.at_m), foot),) if is_post else ((foot, spot), (beside, spot))
        return Placed(words, (line,), legs)
    other = lines[mark.line]
    if mark.kind is MarkKind.SQUARE:
        is_end = line.facing in (Edge.START, Edge.FAR)
        pair = (line, other) if is_end else (other, line)
        lengths = (left, abs(away)) if is_end else (abs(away), left)
        beside = other.spot_at(other.measure_to(spot)[0])
        legs = ((foot, spot), (beside, spot))
        return Placed(_in_square_corner(pair, lengths, pace_m), pair, legs)
    legs = ((line.spot_at(mark.at_m), foot), (foot, spot))
    return Placed(_from_corner((line, other), (abs(away), left), pace_m), (line, other), legs)


def _in_square_corner(
    pair: tuple[GroundLine, GroundLine], lengths: tuple[float, float], pace_m: float
) -> str:
    """Tell distances from an end and from a side that meet square."""
    end, side = pair
    is_on = [length <= ON_LINE_M for length in lengths]
    first, second = (measure(max(0.0, length), pace_m).walked for length in lengths)
    if all(is_on):
        return _("at the corner of %(end)s and %(side)s", end=end.words, side=side.words)
    if is_on[0]:
        return _(
            "on %(line)s, %(distance)s from %(edge)s",
            line=end.line_words,
            distance=second,
            edge=side.words,
        )
    if is_on[1]:
        return _(
            "on %(line)s, %(distance)s from %(edge)s",
            line=side.line_words,
            distance=first,
            edge=end.words,
        )
    return _(
        "%(first)s from %(end)s, %(second)s from %(side)s",
        first=first,
        end=end.words,
        second=second,
        side=side.words,
    )


def _from_corner(
    pair: tuple[GroundLine, GroundLine], lengths: tuple[float, float], pace_m: float
) -> str:
    """Tell how far along a line from a corner that is not square, and how far in from there."""
    line, other = pair
    along, left = (measure(max(0.0, length), pace_m).walked for length in lengths)
    if max(lengths) <= ON_LINE_M:
        return _("at the corner of %(end)s and %(side)s", end=line.words, side=other.words)
    if lengths[0] <= ON_LINE_M:
        return _(
            "%(inwards)s straight in from %(line)s at its corner with %(edge)s",
            inwards=left,
            line=line.line_words,
            edge=other.words,
        )
    if lengths[1] <= ON_LINE_M:
        return _(
            "on %(line)s, %(distance)s from its corner with %(edge)s",
            line=line.line_words,
            distance=along,
            edge=other.words,
        )
    return _(
        "along %(line)s %(along)s from its corner with %(edge)s, then %(inwards)s straight in",
        line=line.line_words,
        along=along,
        edge=other.words,
        inwards=left,
    )


def _from_post(line: GroundLine, lengths: tuple[float, float], towards: str, pace_m: float) -> str:
    """Tell how far along its line a spot is from the post of a goal."""
    return _(
        "on %(line)s, %(distance)s from the goal post towards the %(edge)s",
        line=line.line_words,
        distance=measure(lengths[0], pace_m).walked,
        edge=towards,
    )


def _from_halfway(
    line: GroundLine, lengths: tuple[float, float], towards: str, pace_m: float
) -> str:
    """Tell distances from the halfway line and from a side."""
    away, left = (measure(max(0.0, length), pace_m).walked for length in lengths)
    if max(lengths) <= ON_LINE_M:
        return _("where the halfway line meets %(side)s", side=line.words)
    if lengths[0] <= ON_LINE_M:
        return _("on the halfway line, %(distance)s from %(edge)s", distance=left, edge=line.words)
    if lengths[1] <= ON_LINE_M:
        return _(
            "on %(line)s, %(distance)s from the halfway line towards the %(edge)s",
            line=line.line_words,
            distance=away,
            edge=towards,
        )
    return _(
        "%(first)s from the halfway line towards the %(edge)s, %(second)s from %(side)s",
        first=away,
        edge=towards,
        second=left,
        side=line.words,
    )


def _from_landmark(spot: Spot, landmarks: Sequence[Landmark], edges: Edges, pace_m: float) -> str:
    """Tell how far along and across the pitch a spot lies from its nearest mark."""
    mark = min(
        landmarks,
        key=lambda one: (round(abs(spot[0] - one.x_m) + abs(spot[1] - one.y_m), 3), one.name),
    )
    dx, dy = spot[0] - mark.x_m, spot[1] - mark.y_m
    legs = [
        _("%(distance)s towards the %(edge)s", distance=measure(abs(way), pace_m).walked, edge=edge)
        for way, edge in (
            (dx, edges.far if dx > 0 else edges.start),
            (dy, edges.left if dy > 0 else edges.right),
        )
        if abs(way) > ON_LINE_M
    ]
    if not legs:
        return _("at the %(mark)s", mark=mark.name)
    way = _(", then ").join(legs)
    return _("from the %(mark)s %(way)s", mark=mark.name, way=way)
