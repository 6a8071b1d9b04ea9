"""Measuring a drawing: which of its words lie over something, with no help from what drew it.

Words are measured with the shipped fonts' own advances. A hatch is no outline: it is told by being
see-through, and words on it need a plate. A circle, or a box with round ends, may hold words that
lie wholly inside it.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import shapely
from shapely import LineString, Point, Polygon

from tests.outputs.example_drawings import SVG, advance, read_path

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from xml.etree.ElementTree import Element

    from shapely.geometry.base import BaseGeometry

TOUCH = 0.35
"""Units by which two things may meet: the rounding of the numbers in a drawing."""
PLAIN_FILLS = {None, "none", "#ffffff"}


@dataclass(frozen=True, slots=True)
class Word:
    """A line of text and the ground it covers; `plate` is what keeps hatches off it."""

    words: str
    size: float
    box: Polygon
    plate: Polygon


@dataclass(slots=True)
class Seen:
    """What a drawing holds."""

    width: float
    height: float
    words: list[Word] = field(default_factory=list)
    outlines: list[BaseGeometry] = field(default_factory=list)
    hatches: list[BaseGeometry] = field(default_factory=list)
    signs: list[BaseGeometry] = field(default_factory=list)
    circles: list[BaseGeometry] = field(default_factory=list)


def faults_of(svg: str) -> list[str]:
    """Return, in words, every place where words of a drawing cover what they must not."""
    seen = look_at(svg)
    found = []
    words = _Near([word.plate for word in seen.words])
    outlines, signs = _Near(seen.outlines), _Near(seen.signs)
    hatches, circles = _Near(seen.hatches), _Near(seen.circles)
    whole = shapely.box(0, 0, seen.width, seen.height)
    for n, one in enumerate(seen.words):
        round_it = [seen.circles[k] for k in circles.to(one.plate)]
        is_sign = any(circle.covers(one.box) for circle in round_it)
        found += [
            f"{one.words!r} lies over {seen.words[k].words!r}"
            for k in words.to(one.plate)
            if k > n and one.plate is not seen.words[k].plate
        ]
        if not is_sign:
            found += [
                f"{one.words!r} lies over {name}"
                for name, near in (("an outline", outlines), ("a sign", signs))
                if near.to(one.plate)
            ]
        if any(not circle.covers(one.box) for circle in round_it):
            found.append(f"{one.words!r} lies over a circle")
        if not is_sign and one.plate is one.box and hatches.to(one.box):
            found.append(f"{one.words!r} lies on a hatch")
        if not whole.covers(one.box):
            found.append(f"{one.words!r} reaches over the edge")
    return found


class _Near:
    """Shapes, found by where they lie."""

    def __init__(self, shapes: Sequence[BaseGeometry]) -> None:
        self._shapes = shapes
        self._tree = shapely.STRtree(shapes)

    def to(self, shape: BaseGeometry) -> list[int]:
        """Return the places of those that a shape meets, in order."""
        return [int(k) for k in sorted(self._tree.query(shape)) if _meet(shape, self._shapes[k])]


def least_letters(svg: str) -> float:
    """Return the size of the smallest letters, as part of the drawing's width."""
    seen = look_at(svg)
    return min((word.size for word in seen.words), default=seen.width) / seen.width


def look_at(svg: str) -> Seen:
    """Read a drawing for what lies where."""
    root = ET.fromstring(svg)  # noqa: S314 - our own drawing
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    seen = Seen(width, height)
    _collect(root, (1.0, 0.0, 0.0, 1.0, 0.0, 0.0), seen)
    return seen


Matrix = tuple[float, float, float, float, float, float]


def _collect(node: Element, matrix: Matrix, seen: Seen) -> None:
    plate = next((_rect(child) for child in node if child.get("fill-opacity") == "0.9"), None)
    for child in node:
        here = _times(matrix, _matrix(child.get("transform", "")))
        tag = child.tag.removeprefix(SVG)
        if tag == "text":
            box = shapely.affinity.affine_transform(_text_box(child), _for_shapely(here))
            words = child.text or ""
            if words.strip():
                size = float(child.attrib["font-size"])
                seen.words.append(Word(words, size, box, plate if plate is not None else box))
        elif tag in ("path", "line", "rect", "circle") and child.get("fill-opacity") != "0.9":
            _look_at_shape(tag, child, here, seen)
        _collect(child, here, seen)


def _look_at_shape(tag: str, node: Element, matrix: Matrix, seen: Seen) -> None:
    is_background = tag == "rect" and float(node.attrib["width"]) >= seen.width
    for shape in () if is_background else _shapes(tag, node):
        placed = shapely.affinity.affine_transform(shape, _for_shapely(matrix))
        half = float(node.get("stroke-width", "1")) / 2 if node.get("stroke") else 0.0
        if tag == "circle" or "rx" in node.attrib:
            seen.circles.append(shapely.buffer(placed, half))
            continue
        if "stroke-opacity" in node.attrib:
            seen.hatches.append(placed)
            continue
        line = placed.boundary if isinstance(placed, Polygon) else placed
        if half:
            seen.outlines.append(shapely.buffer(line, half, cap_style="flat"))
        is_zone = node.get("stroke-dasharray") == "3 2" and isinstance(placed, Polygon)
        is_solid = tag == "path" and node.get("fill") in ("#55635d", "#1d2a26")
        is_bar = tag == "rect" and node.get("fill") not in PLAIN_FILLS
        if is_zone or is_solid or is_bar:
            seen.signs.append(placed)


def _shapes(tag: str, node: Element) -> Iterator[BaseGeometry]:
    number = {name: float(value) for name, value in node.attrib.items() if _is_number(value)}
    if tag == "rect":
        yield _rect(node)
    elif tag == "line":
        yield LineString([(number["x1"], number["y1"]), (number["x2"], number["y2"])])
    elif tag == "circle":
        yield Point(number["cx"], number["cy"]).buffer(number["r"])
    else:
        data = node.get("d", "")
        for text, run in zip(data.split("M")[1:], read_path(data), strict=True):
            closed = text.endswith("Z") and len(run) > 2
            yield Polygon(run) if closed else LineString([*run, run[0]] if len(run) < 2 else run)


def _rect(node: Element) -> Polygon:
    x, y = float(node.attrib["x"]), float(node.attrib["y"])
    return shapely.box(x, y, x + float(node.attrib["width"]), y + float(node.attrib["height"]))


def _text_box(node: Element) -> Polygon:
    words, size = node.text or "", float(node.attrib["font-size"])
    x, middle = float(node.attrib["x"]), float(node.attrib["y"]) - size * 0.35
    long = advance(words, size, bold=node.get("font-weight") == "700")
    left = {"middle": x - long / 2, "start": x, "end": x - long}[node.get("text-anchor", "start")]
    return shapely.box(left, middle - size * 0.5, left + long, middle + size * 0.5)


def _meet(a: BaseGeometry, b: BaseGeometry) -> bool:
    """Tell whether two things meet by more than the rounding of numbers."""
    return bool(a.intersects(b) and shapely.buffer(a, -TOUCH, join_style="mitre").intersects(b))


def _matrix(transform: str) -> Matrix:
    moved = re.match(r"translate\(([-\d.]+) ([-\d.]+)\)", transform)
    if moved:
        return (1.0, 0.0, 0.0, 1.0, float(moved[1]), float(moved[2]))
    turned = re.match(r"rotate\(([-\d.]+)(?: ([-\d.]+) ([-\d.]+))?\)", transform)
    if not turned:
        return (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    cos, sin = math.cos(math.radians(float(turned[1]))), math.sin(math.radians(float(turned[1])))
    x, y = float(turned[2] or 0), float(turned[3] or 0)
    return (cos, -sin, sin, cos, x - cos * x + sin * y, y - sin * x - cos * y)


def _times(a: Matrix, b: Matrix) -> Matrix:
    return (
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[0] * b[4] + a[1] * b[5] + a[4],
        a[2] * b[4] + a[3] * b[5] + a[5],
    )


def _for_shapely(matrix: Matrix) -> list[float]:
    return list(matrix)


def _is_number(text: str) -> bool:
    return re.fullmatch(r"-?\d+(\.\d+)?", text) is not None
