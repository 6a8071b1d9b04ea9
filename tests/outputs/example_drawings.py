"""Reading drawings back, with no help from the code that wrote them."""

from __future__ import annotations

import re
import struct
import unicodedata
import zlib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as ET

import numpy as np
from shapely import Polygon

from clubplanner.resources import font_files

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True, slots=True)
class DrawnPath:
    """One path: its attributes and its runs of points; a closed run starts at its first point."""

    attributes: dict[str, str]
    runs: tuple[tuple[tuple[float, float], ...], ...]

    @property
    def polygon(self) -> Polygon:
        """The path as a polygon, its further runs as holes."""
        return Polygon(self.runs[0], self.runs[1:])

    @property
    def stroke_width(self) -> float:
        """Width of its line, 0.0 without one."""
        if "stroke" not in self.attributes:
            return 0.0
        return float(self.attributes.get("stroke-width", "1"))

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Least x and y, greatest x and y."""
        points = [point for run in self.runs for point in run]
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return min(xs), min(ys), max(xs), max(ys)


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text: where it stands and how far it reaches, in units of the drawing."""

    words: str
    x: float
    y: float
    size: float
    turn_deg: float
    box: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing read back."""

    root: Element
    width: float
    height: float
    paths: tuple[DrawnPath, ...]
    texts: tuple[Text, ...]

    def text(self, words: str) -> Text:
        """Return the one text with these words."""
        (found,) = [text for text in self.texts if text.words == words]
        return found

    def words(self) -> list[str]:
        """Return all words in order."""
        return [text.words for text in self.texts]

    def filled(self, fill: str) -> list[DrawnPath]:
        """Return the paths with a fill."""
        return [path for path in self.paths if path.attributes.get("fill") == fill]

    def overflowing(self) -> list[Text]:
        """Return the texts that reach over an edge of the drawing."""
        return [
            text
            for text in self.texts
            if text.box[0] < 0
            or text.box[1] < 0
            or text.box[2] > self.width
            or text.box[3] > self.height
        ]


def read_drawing(svg: str) -> Drawing:
    """Read a drawing."""
    root = ET.fromstring(svg)  # noqa: S314 - our own drawing
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    paths: list[DrawnPath] = []
    texts: list[Text] = []
    _collect(root, 0.0, 0.0, paths, texts)
    return Drawing(root, width, height, tuple(paths), tuple(texts))


def _collect(
    node: Element, dx: float, dy: float, paths: list[DrawnPath], texts: list[Text]
) -> None:
    for child in node:
        moved = re.match(r"translate\(([-\d.]+) ([-\d.]+)\)", child.get("transform", ""))
        x, y = (dx + float(moved[1]), dy + float(moved[2])) if moved else (dx, dy)
        if child.tag == f"{SVG}path":
            paths.append(DrawnPath(dict(child.attrib), read_path(child.get("d", ""), x, y)))
        elif child.tag == f"{SVG}text":
            texts.append(_read_text(child, x, y))
        _collect(child, x, y, paths, texts)


def read_path(data: str, dx: float = 0.0, dy: float = 0.0) -> tuple[Any, ...]:
    """Read path data of moves, lines and closings; a dot is a line to where it begins."""
    data = re.sub(r"M([^MLZh]+)h0", r"M\1L\1", data)
    if re.sub(r"[MLZ\d. -]", "", data):
        raise ValueError(f"path data of another kind: {data[:80]}")
    runs = []
    for run in data.split("M")[1:]:
        points = [part.split() for part in run.rstrip("Z").split("L")]
        runs.append(tuple((float(x) + dx, float(y) + dy) for x, y in points))
    return tuple(runs)


def _read_text(node: Element, dx: float, dy: float) -> Text:
    words, size = node.text or "", float(node.attrib["font-size"])
    x, base = float(node.attrib["x"]) + dx, float(node.attrib["y"]) + dy
    centre = base - size * 0.35
    long = advance(words, size, bold=node.get("font-weight") == "700")
    left = {"middle": x - long / 2, "start": x, "end": x - long}[node.get("text-anchor", "start")]
    box = (left, centre - size * 0.5, left + long, centre + size * 0.5)
    turn = re.match(r"rotate\(([-\d.]+) ", node.get("transform", ""))
    turn_deg = float(turn[1]) if turn else 0.0
    if abs(turn_deg) == 90:
        half, tall = (box[2] - box[0]) / 2, size * 0.5
        box = (x - tall, centre - half, x + tall, centre + half)
    return Text(words, x, centre, size, turn_deg, box)


def advance(words: str, size: float, *, bold: bool = False) -> float:
    """Measure a line of text with the shipped font's own advances.

    An unknown character is as wide as the box that the font draws for it; East Asian ones, which
    a browser takes from another font, are as wide as they are high.
    """
    regular, heavy = sorted(_fonts().items(), reverse=True)
    widths = (heavy if bold else regular)[1]
    return sum(widths.get(ord(ch)) or _unknown(ch, widths[0]) for ch in words) * size


def _unknown(character: str, box: float) -> float:
    return 1.0 if unicodedata.east_asian_width(character) in "WF" else box


def glyphs() -> set[str]:
    """Return the characters that both files of our first font have a glyph for."""
    first, *others = _fonts().values()
    return {chr(code) for code in first if code and all(code in other for other in others)}


@cache
def _fonts() -> dict[str, dict[int, float]]:
    return {Path(path).stem: _read_font(Path(path).read_bytes()) for path in font_files()[:2]}


def _read_font(data: bytes) -> dict[int, float]:
    """Read advances by character (OpenType 1.9: head, hhea, hmtx, and cmap of format 4).

    That of glyph 0, the box for unknown characters, comes under 0.
    """
    (count,) = struct.unpack_from(">H", data, 4)
    tables = {}
    for n in range(count):
        tag, _, offset, _ = struct.unpack_from(">4sLLL", data, 12 + 16 * n)
        tables[tag.decode()] = offset
    (units,) = struct.unpack_from(">H", data, tables["head"] + 18)
    (metrics,) = struct.unpack_from(">H", data, tables["hhea"] + 34)
    advances = {}
    for code, glyph in {**_read_cmap(data, tables["cmap"]), 0: 0}.items():
        place = tables["hmtx"] + 4 * min(glyph, metrics - 1)
        advances[code] = struct.unpack_from(">H", data, place)[0] / units
    return advances


def _read_cmap(data: bytes, start: int) -> dict[int, int]:
    (count,) = struct.unpack_from(">H", data, start + 2)
    offsets = [struct.unpack_from(">HHL", data, start + 4 + 8 * n)[2] for n in range(count)]
    (table,) = {start + o for o in offsets if struct.unpack_from(">H", data, start + o)[0] == 4}
    (twice,) = struct.unpack_from(">H", data, table + 6)
    segments = twice // 2

    def numbers(offset: int, kind: str = "H") -> tuple[int, ...]:
        return struct.unpack_from(f">{segments}{kind}", data, table + offset)

    ends, starts = numbers(14), numbers(16 + twice)
    deltas, ranges = numbers(16 + 2 * twice, "h"), numbers(16 + 3 * twice)
    found = {}
    for n, (first, last, delta, reach) in enumerate(zip(starts, ends, deltas, ranges, strict=True)):
        for code in range(first, min(last, 0xFFFE) + 1):
            glyph = code
            if reach:
                place = table + 16 + 3 * twice + 2 * n + reach + 2 * (code - first)
                (glyph,) = struct.unpack_from(">H", data, place)
                if not glyph:
                    continue
            glyph = (glyph + delta) % 65536
            if glyph:
                found[code] = glyph
    return found


def read_grey(png: bytes) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Decode a PNG of 8 bits a channel into luminance, rows by columns, 0 black to 255 white.

    The chunks and filters are those of the PNG specification (W3C, third edition); luminance is
    weighted as in ITU-R BT.601.
    """
    if png[:8] != b"\x89PNG\r\n\x1a\n":
        raise ValueError("not a PNG")
    place, packed, width, height, channels = 8, b"", 0, 0, 0
    while place < len(png):
        size, kind = struct.unpack_from(">L4s", png, place)
        body = png[place + 8 : place + 8 + size]
        if kind == b"IHDR":
            width, height, depth, colour = struct.unpack_from(">LLBB", body)
            channels = {(8, 2): 3, (8, 6): 4}[depth, colour]
        elif kind == b"IDAT":
            packed += body
        place += 12 + size
    rows = np.frombuffer(zlib.decompress(packed), np.uint8).reshape(height, 1 + width * channels)
    flat = _unfilter(rows, channels).reshape(height, width, channels).astype(np.float64)
    grey: np.ndarray[tuple[int, int], np.dtype[np.float64]] = flat[:, :, :3] @ np.array(
        [0.299, 0.587, 0.114]
    )
    return grey


def _unfilter(rows: Any, step: int) -> Any:
    done = np.zeros((rows.shape[0], rows.shape[1] - 1), np.uint8)
    above = np.zeros(rows.shape[1] - 1, np.uint8)
    for n, row in enumerate(rows):
        above = done[n] = _unfilter_row(int(row[0]), row[1:], above, step)
    return done


def _unfilter_row(kind: int, line: Any, above: Any, step: int) -> Any:
    if kind == 0:
        return line
    if kind == 2:
        return line + above
    if kind == 1:
        return np.cumsum(line.reshape(-1, step), axis=0, dtype=np.uint8).reshape(-1)
    out, up = [0] * step + line.tolist(), [0] * step + above.tolist()
    for at in range(step, len(out)):
        left, over, corner = out[at - step], up[at], up[at - step]
        out[at] = (
            out[at] + (_paeth(left, over, corner) if kind == 4 else (left + over) // 2)
        ) % 256
    return np.array(out[step:], np.uint8)


def _paeth(left: int, over: int, corner: int) -> int:
    guess = left + over - corner
    near = (abs(guess - left), abs(guess - over), abs(guess - corner))
    return (left, over, corner)[near.index(min(near))]
