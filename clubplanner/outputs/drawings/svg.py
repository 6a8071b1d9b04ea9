"""Writing SVG: elements, paths, text that fits, hatches made of real lines.

Only presentation attributes are used, so a page with a strict Content-Security-Policy and the
picture renderer show the same. Numbers are rounded to a tenth of a unit: the same drawing gives
the same bytes.
"""

from __future__ import annotations

import math
import re
import unicodedata
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape, quoteattr

import shapely
from shapely import LineString, Polygon

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from shapely.geometry.base import BaseGeometry

FONT = "Atkinson Hyperlegible Next"
"""The one family of pages and pictures; its files are in web/static/fonts."""

_NOT_XML = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_WIDTHS = {
    character: width
    for width, characters in (
        (0.33, "ilj.,:;'|! "),
        (0.38, "rtf()[]-ľ"),
        (0.42, "I"),
        (0.57, "abcdeghknopsuvxyz127–·"),
        (0.58, "q3"),
        (0.66, "ABEFJKLPRSTVXYZ045689£$+=?ď"),
        (0.74, "CDGHNOQU&#"),
        (0.95, "mwMW%@—½¼¾™"),
    )
    for character in characters
}
"""Advance of characters of `FONT` for a size of 1, none too small."""
_OTHER_WIDTH, _WIDEST = 0.75, 1.05


def element(tag: str, *children: str, **attributes: object) -> str:
    """Write one element.

    Args:
        tag: Its name.
        children: Markup inside, already escaped.
        attributes: Names with underscores for hyphens; None is left out.
    """
    written = "".join(
        f" {name.rstrip('_').replace('_', '-')}={quoteattr(_value(value))}"
        for name, value in attributes.items()
        if value is not None
    )
    inside = "".join(children)
    return f"<{tag}{written}>{inside}</{tag}>" if inside else f"<{tag}{written}/>"


def dots(places: Iterable[tuple[float, float]], radius: float, fill: str) -> str:
    """Draw many dots of one size as one path: a dozen bytes each, where a circle takes eighty.

    A dot is a line without a length that ends round, which SVG draws as a disc
    (https://www.w3.org/TR/SVG2/painting.html#LineCaps).
    """
    trail = "".join(f"M{_number(x)} {_number(y)}h0" for x, y in places)
    ends = {"stroke_width": 2 * radius, "stroke_linecap": "round"}
    return element("path", d=trail, fill="none", stroke=fill, **ends)


def words(text: str) -> str:
    """Escape text for markup; characters XML does not allow are left out."""
    return escape(_NOT_XML.sub("", text))


def label(
    text: str,
    x: float,
    y: float,
    *,
    size: float = 12,
    bold: bool = False,
    fill: str = "#1d2a26",
    anchor: str = "middle",
    turn_deg: float = 0,
) -> str:
    """Write one line of text, its middle (or start or end) at x and its centre line at y."""
    return element(
        "text",
        words(text),
        x=x,
        y=y + size * 0.35,
        font_family=FONT,
        font_size=size,
        font_weight=700 if bold else 400,
        fill=fill,
        text_anchor=anchor,
        transform=f"rotate({_number(turn_deg)} {_number(x)} {_number(y)})" if turn_deg else None,
    )


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Estimate how wide a line of text is, a little on the safe side."""
    return sum(_character_width(ch) for ch in text) * size * (1.07 if bold else 1.0)


def wrap(text: str, size: float, width: float, *, bold: bool = False) -> list[str] | None:
    """Break text into lines no wider than asked, at spaces; None when a word is too wide."""
    lines: list[str] = []
    for word in text.split():
        if text_width(word, size, bold=bold) > width:
            return None
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(joined, size, bold=bold) <= width:
            lines[-1] = joined
        else:
            lines.append(word)
    return lines


def wrappings(text: str, size: float, *, bold: bool = False, most: int = 4) -> list[list[str]]:
    """Break text at spaces in every even way: into one line, two, up to so many, each once.

    Returns:
        The wide layouts first; none for a text without words.
    """
    words_wide = [text_width(word, size, bold=bold) for word in text.split()]
    found: list[list[str]] = []
    for count in range(1, min(len(words_wide), most) + 1):
        width = max(max(words_wide), text_width(text, size, bold=bold) / count) + 0.01
        lines = wrap(text, size, width, bold=bold) or []
        while len(lines) > count:
            width *= 1.04
            lines = wrap(text, size, width, bold=bold) or []
        if lines not in found:
            found.append(lines)
    return found


def fit_lines(text: str, size: float, width: float, most: int, *, bold: bool = False) -> list[str]:
    """Break text into at most so many lines no wider than asked; what is left over is cut off.

    Returns:
        At least one line; an ellipsis stands for what was cut off.
    """
    lines: list[str] = []
    rest = text.split()
    while rest and len(lines) < most:
        is_last = len(lines) == most - 1
        taken = len(rest) if is_last else 1
        while not is_last and taken < len(rest) and _fits(rest[: taken + 1], size, width, bold):
            taken += 1
        lines.append(clip_to_width(" ".join(rest[:taken]), size, width, bold=bold))
        rest = rest[taken:]
    return lines or [""]


def _fits(parts: list[str], size: float, width: float, bold: bool) -> bool:
    return text_width(" ".join(parts), size, bold=bold) <= width


def clip_words(text: str, most: int) -> str:
    """Cut text after at most so many characters, with an ellipsis."""
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def clip_to_width(text: str, size: float, width: float, *, bold: bool = False) -> str:
    """Cut a line of text that would be wider than asked, with an ellipsis."""
    if text_width(text, size, bold=bold) <= width:
        return text
    kept, used = 0, text_width("…", size, bold=bold)
    for character in text:
        used += text_width(character, size, bold=bold)
        if used > width:
            break
        kept += 1
    return text[:kept].rstrip() + "…"


def as_it_is(x: float, y: float) -> tuple[float, float]:
    """Leave a point where it lies: for shapes that lie on the sheet already."""
    return x, y


def path_of(shape: BaseGeometry, place: Callable[[float, float], tuple[float, float]]) -> str:
    """Return path data of polygons and lines, each point put in its place by `place`."""
    parts: list[str] = []
    for part in getattr(shape, "geoms", (shape,)):
        if part.is_empty:
            continue
        if isinstance(part, Polygon):
            rings = [part.exterior, *part.interiors]
            parts.extend(_trail(ring.coords[:-1], place) + "Z" for ring in rings)
        elif isinstance(part, LineString):
            parts.append(_trail(part.coords, place))
    return "".join(parts)


def path_of_boxes(boxes: Iterable[tuple[float, float, float, float]]) -> str:
    """Return path data of boxes that lie on the sheet already: x, y, then x, y opposite."""
    parts = []
    for one in boxes:
        x0, y0, x1, y1 = map(_number, one)
        parts.append(f"M{x1} {y0}L{x1} {y1}L{x0} {y1}L{x0} {y0}Z")
    return "".join(parts)


def hatch(shape: BaseGeometry, gap: float, angle_deg: float) -> BaseGeometry:
    """Return parallel lines clipped to a shape.

    Args:
        shape: The polygon to fill, any unit.
        gap: Distance between lines, same unit.
        angle_deg: Direction of the lines, counter-clockwise from x.
    """
    x0, y0, x1, y1 = shape.bounds
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    reach = math.hypot(x1 - x0, y1 - y0) / 2
    count = int(reach / gap)
    lines = [
        LineString(
            [(middle[0] - reach, middle[1] + n * gap), (middle[0] + reach, middle[1] + n * gap)]
        )
        for n in range(-count, count + 1)
    ]
    turned = shapely.affinity.rotate(shapely.MultiLineString(lines), angle_deg, origin=middle)
    return shapely.intersection(turned, shape)


def document(
    width: float,
    height: float,
    title: str,
    summary: str,
    body: Iterable[str],
    *,
    role: str = "img",
) -> str:
    """Write a whole drawing with its title and its description for those who cannot see it.

    Args:
        width: Units across.
        height: Units down.
        title: What it shows.
        summary: The same in words.
        body: Its parts, as markup.
        role: What it is to those who cannot see it: "img" for one picture, "group" where parts of
            it can be chosen.
    """
    return element(
        "svg",
        element("title", words(title)),
        element("desc", words(summary)),
        *body,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {_number(width)} {_number(height)}",
        role=role,
    )


def _trail(
    points: Iterable[tuple[float, ...]], place: Callable[[float, float], tuple[float, float]]
) -> str:
    placed = [place(point[0], point[1]) for point in points]
    return "M" + "L".join(f"{_number(x)} {_number(y)}" for x, y in placed)


def _character_width(character: str) -> float:
    known = _WIDTHS.get(character)
    if known is not None:
        return known
    if unicodedata.combining(character) or unicodedata.category(character) == "Cf":
        return 0.0
    base = unicodedata.normalize("NFD", character)[0]
    if base in _WIDTHS:
        return _WIDTHS[base]
    is_wide = unicodedata.east_asian_width(character) in "WF" or character in "ŒœÆæĲ®©"
    return _WIDEST if is_wide else _OTHER_WIDTH


def _value(value: object) -> str:
    if isinstance(value, float):
        return _number(value)
    return _NOT_XML.sub("", str(value))


def _number(value: float) -> str:
    text = f"{value:.1f}"
    return text[:-2] if text.endswith(".0") else text
