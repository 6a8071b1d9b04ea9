"""A person who only has the words of a set-out list and eyes for the lines of the ground.

Written without the code that makes the words: it reads names and metres out of sentences and works
out by plain arithmetic where it ends up.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field

Spot = tuple[float, float]
_PACED = r"([\d.]+) m \(\d+ paces?\)"
_EDGE = r"the [\w -]+? (?:end|side)"
_LINE = rf"((?:your line|the inner edge) towards {_EDGE}|{_EDGE}|the halfway line)"
_AT_CORNER = rf"{_LINE}(?: line)?,? {_PACED} from its corner with {_LINE}"


@dataclass
class Seen:
    """A line as one sees it: a spot on it, the way along it, and the way into the ground."""

    spot: Spot
    along: Spot
    inwards: Spot
    start: Spot | None = None
    end: Spot | None = None


@dataclass
class Walker:
    """Somebody who knows the names of the lines round a pitch, and paces out what they are told.

    Attributes:
        lines: By name, such as "the Church end".
        posts: By name of the line the posts of the goal on it.
        marks: Further marks by name, such as "halfway mark on the Road side".
        extents: From where to where an own line is seen to run, where that matters.
    """

    lines: dict[str, Seen]
    posts: dict[str, tuple[Spot, Spot]] = field(default_factory=dict)
    marks: dict[str, Spot] = field(default_factory=dict)
    extents: dict[str, tuple[Spot, Spot]] = field(default_factory=dict)

    def mark_line(self, sentence: str) -> None:
        """Mark a line of the own part as told: so far from a line of the pitch."""
        found = re.fullmatch(
            rf"((?:Your line|The inner edge) towards (.+?)) is {_PACED} from {_LINE}\.", sentence
        )
        assert found, sentence
        name, towards, metres, other = found.groups()
        name = name[0].lower() + name[1:]
        base = self.lines[other]
        spot = _on(base.spot, base.inwards, float(metres))
        away = self.lines[towards].inwards
        ends = self.extents.get(name, (None, None))
        self.lines[name] = Seen(spot, base.along, away, *ends)

    def find(self, sentence: str) -> Spot:
        """Return where a sentence about a cone leads."""
        place = sentence.split(": ", 1)[1].removesuffix(".")
        for pattern, follow in (
            (rf"{_PACED} from the halfway line towards (.+), {_PACED} from {_LINE}", self._halfway),
            (rf"{_PACED} from {_LINE}, {_PACED} from {_LINE}", self._between),
            (rf"on {_LINE}(?: line)?, {_PACED} from the goal post towards (.+)", self._post),
            (rf"on {_AT_CORNER}", self._corner),
            (
                rf"on {_LINE}(?: line)?, {_PACED} from the halfway line towards (.+)",
                self._on_and_halfway,
            ),
            (rf"on {_LINE}(?: line)?, {_PACED} from {_LINE}", self._on_line),
            (rf"at the corner of {_LINE} and {_LINE}", self._at_corner),
            (rf"where the halfway line meets {_LINE}", self._at_halfway),
            (rf"along {_AT_CORNER}, then {_PACED} straight in", self._corner),
            (
                rf"{_PACED} straight in from {_LINE}(?: line)? at its corner with {_LINE}",
                lambda inwards, line, other: self._corner(line, "0", other, inwards),
            ),
            (r"(?:from|at) the (.+? (?:mark on|of|towards) .+? (?:end|side)) ?(.*)", self._mark),
        ):
            found = re.fullmatch(pattern, place)
            if found:
                return follow(*found.groups())
        raise AssertionError(f"I do not know where to go: {sentence}")

    def _between(self, one_m: str, one: str, other_m: str, other: str) -> Spot:
        return self._meet(self._moved(one, float(one_m)), self._moved(other, float(other_m)))

    def _on_line(self, line: str, metres: str, other: str) -> Spot:
        return self._between("0", line, metres, other)

    def _at_corner(self, one: str, other: str) -> Spot:
        return self._between("0", one, "0", other)

    def _at_halfway(self, side: str) -> Spot:
        return self._between("0", side, "0", "the halfway line")

    def _halfway(self, away_m: str, towards: str, in_m: str, side: str) -> Spot:
        half = self.lines["the halfway line"]
        there = self.lines[towards]
        moved = Seen(_on(half.spot, there.inwards, -float(away_m)), half.along, half.inwards)
        return self._meet(moved, self._moved(side, float(in_m)))

    def _on_and_halfway(self, side: str, away_m: str, towards: str) -> Spot:
        return self._halfway(away_m, towards, "0", side)

    def _post(self, line: str, metres: str, towards: str) -> Spot:
        there = self.lines[towards]
        ends = self.posts[line]
        nearest = min(ends, key=lambda post: _dot(_minus(post, there.spot), there.inwards))
        way = _towards(self.lines[line].along, there)
        return _on(nearest, way, float(metres))

    def _corner(self, line: str, along_m: str, other: str, in_m: str = "0") -> Spot:
        seen = self.lines[line]
        start = self._meet(seen, self.lines[other])
        if along_m == "0":
            return _on(start, seen.inwards, float(in_m))
        assert seen.start is not None
        assert seen.end is not None
        beyond = max(seen.start, seen.end, key=lambda end: math.dist(start, end))
        long = math.dist(start, beyond)
        way = ((beyond[0] - start[0]) / long, (beyond[1] - start[1]) / long)
        return _on(_on(start, way, float(along_m)), seen.inwards, float(in_m))

    def _mark(self, mark: str, legs: str) -> Spot:
        spot = self.marks[mark]
        for metres, edge in re.findall(rf"{_PACED} towards ({_EDGE})", legs):
            x, y = self.lines[edge].inwards
            square = (round(x), round(y))
            spot = _on(spot, square, -float(metres))
        return spot

    def _moved(self, name: str, metres: float) -> Seen:
        line = self.lines[name]
        return Seen(_on(line.spot, line.inwards, metres), line.along, line.inwards)

    @staticmethod
    def _meet(one: Seen, other: Seen) -> Spot:
        """Return where two lines meet, by Cramer's rule."""
        (ax, ay), (bx, by) = one.along, other.along
        dx, dy = _minus(other.spot, one.spot)
        factor = (dx * by - dy * bx) / (ax * by - ay * bx)
        return _on(one.spot, one.along, factor)


def see_lines(names: dict[str, tuple[Spot, Spot]]) -> dict[str, Seen]:
    """Look at lines given by their ends, in the order that has the ground on the left."""
    found = {}
    for name, (start, end) in names.items():
        long = math.dist(start, end)
        along = ((end[0] - start[0]) / long, (end[1] - start[1]) / long)
        found[name] = Seen(start, along, (-along[1], along[0]), start, end)
    return found


def box_walker(
    box: tuple[float, float, float, float], names: tuple[str, str, str, str], turn_deg: float = 0.0
) -> Walker:
    """Stand on a pitch with square corners.

    Args:
        box: Its bounds: where its first end and right side, its far end and left side are.
        names: Of first end, far end, right side and left side.
        turn_deg: By how much it is turned about the origin, counter-clockwise.
    """
    x0, y0, x1, y1 = box
    start, far, right, left = (f"the {name}" for name in names)
    half = (x0 + x1) / 2
    ends = {
        right: ((x0, y0), (x1, y0)),
        far: ((x1, y0), (x1, y1)),
        left: ((x1, y1), (x0, y1)),
        start: ((x0, y1), (x0, y0)),
        "the halfway line": ((half, y0), (half, y1)),
    }
    turned = {
        name: (turn(one, turn_deg), turn(other, turn_deg)) for name, (one, other) in ends.items()
    }
    return Walker(see_lines(turned))


def turn(spot: Spot, degrees: float) -> Spot:
    """Turn a spot about the origin."""
    sin, cos = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
    return spot[0] * cos - spot[1] * sin, spot[0] * sin + spot[1] * cos


def _on(spot: Spot, way: Spot, metres: float) -> Spot:
    return spot[0] + metres * way[0], spot[1] + metres * way[1]


def _minus(one: Spot, other: Spot) -> Spot:
    return one[0] - other[0], one[1] - other[1]


def _dot(one: Spot, other: Spot) -> float:
    return one[0] * other[0] + one[1] * other[1]


def _towards(along: Spot, there: Seen) -> Spot:
    """Return the way along a line that leads out over another."""
    return along if _dot(along, there.inwards) < 0 else (-along[0], -along[1])
