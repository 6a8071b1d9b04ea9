"""Which font of ours writes which letters of a picture, and how to write those that none has.

A picture has no fonts of the machine to fall back on, as a page has: a missing letter would be a
box. The renderer shapes Arabic only where it is told the font, so every run of letters that our
first font lacks names its own.
"""

from __future__ import annotations

import re
import struct
import unicodedata
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

LEFT_TO_RIGHT = "\u200e"
_FIRST_BEYOND_ASCII = 0x7F
_MARKUP = frozenset("<>&\"'")
_BARE = {"ŋ": "n", "Ŋ": "N", "ŧ": "t", "Ŧ": "T", "ə": "e", "Ə": "E", "ĸ": "k", "ơ": "o", "ư": "u"}
"""Letters that do not come apart into a plain one and a mark."""
_WRITTEN = re.compile(r"(<text[^>]*>)([^<]*)(?=</text>)")
_JOINERS = frozenset("\u200c\u200d\ufe0e\ufe0f")


@dataclass(frozen=True, slots=True)
class Face:
    """A font of ours.

    Attributes:
        family: By which drawings name it.
        letters: The codes that all its files have.
    """

    family: str
    letters: frozenset[int]


@cache
def faces_of(font_files: tuple[str, ...]) -> tuple[Face, ...]:
    """Read which letters fonts have; the files of one family are one face.

    Args:
        font_files: Paths of OpenType files, the family that comes first to be preferred.

    Returns:
        The faces in the order in which their families first come.
    """
    letters: dict[str, frozenset[int]] = {}
    for path in font_files:
        family, codes = _read_font(Path(path).read_bytes())
        letters[family] = codes & letters.get(family, codes)
    return tuple(Face(family, codes) for family, codes in letters.items())


def with_fonts(svg: str, faces: Sequence[Face]) -> str:
    """Name the font of every run of letters of a drawing that its first font lacks.

    Letters that no font has are written without their marks. Lines with letters written from right
    to left begin at the left, as on a page.

    Args:
        svg: A drawing of this package.
        faces: The fonts there are, the one that drawings name first.
    """
    if not faces or svg.isascii():
        return svg
    return _WRITTEN.sub(lambda found: found[1] + _line(found[2], faces), svg)


def _line(text: str, faces: Sequence[Face]) -> str:
    if text.isascii():
        return text
    parts = []
    for family, run in _runs(unicodedata.normalize("NFC", text), faces):
        parts.append(run if not family else f'<tspan font-family="{family}">{run}</tspan>')
    is_turned = any(unicodedata.bidirectional(ch) in ("R", "AL") for ch in text)
    return (LEFT_TO_RIGHT if is_turned else "") + "".join(parts)


def _runs(text: str, faces: Sequence[Face]) -> Iterator[tuple[str, str]]:
    """Part text into runs of one font each; blank stands for the first."""
    family, run = "", ""
    for cluster in _clusters(text):
        own = _face(cluster, faces)
        if own is None:
            own, cluster = "", "".join(_plain(ch, faces) for ch in cluster)
        if own != family and run:
            yield family, run
            run = ""
        family, run = own, run + cluster
    if run:
        yield family, run


def _clusters(text: str) -> Iterator[str]:
    """Part text into letters with the marks that stand on them."""
    cluster = ""
    for letter in text:
        if cluster and (unicodedata.combining(letter) or letter in _JOINERS):
            cluster += letter
        else:
            if cluster:
                yield cluster
            cluster = letter
    if cluster:
        yield cluster


def _face(cluster: str, faces: Sequence[Face]) -> str | None:
    """Return the family that has a letter and its marks; blank for the first, None for none."""
    codes = {ord(ch) for ch in cluster if unicodedata.category(ch) != "Cf"}
    for number, face in enumerate(faces):
        if codes <= face.letters or max(codes, default=0) < _FIRST_BEYOND_ASCII:
            return face.family if number else ""
    return None


def _plain(character: str, faces: Sequence[Face]) -> str:
    """Write a letter without its marks; one of a script that no font has stays as it is."""
    apart = unicodedata.normalize("NFKD", _BARE.get(character, character))
    known = faces[0].letters
    kept = "".join(ch for ch in apart if ord(ch) < _FIRST_BEYOND_ASCII or ord(ch) in known)
    bare = "".join(ch for ch in kept if not unicodedata.combining(ch))
    return bare if bare and not set(bare) & _MARKUP else character


def _read_font(data: bytes) -> tuple[str, frozenset[int]]:
    """Read family and letters (OpenType 1.9: tables name and cmap, of format 4 or 12)."""
    (count,) = struct.unpack_from(">H", data, 4)
    tables = {}
    for n in range(count):
        tag, _sum, offset, _length = struct.unpack_from(">4sLLL", data, 12 + 16 * n)
        tables[tag] = offset
    return _family(data, tables[b"name"]), frozenset(_codes(data, tables[b"cmap"]))


def _family(data: bytes, start: int) -> str:
    """Return the family's name: typographic (16) where there is one, else plain (1)."""
    count, strings = struct.unpack_from(">HH", data, start + 2)
    found = {}
    for n in range(count):
        platform, _e, _l, name, length, offset = struct.unpack_from(
            ">HHHHHH", data, start + 6 + 12 * n
        )
        if platform == 3 and name in (1, 16):
            place = start + strings + offset
            found[name] = data[place : place + length].decode("utf-16-be")
    return str(found.get(16) or found[1])


def _codes(data: bytes, start: int) -> Iterator[int]:
    (count,) = struct.unpack_from(">H", data, start + 2)
    offsets = {struct.unpack_from(">HHL", data, start + 4 + 8 * n)[2] for n in range(count)}
    by_format = {struct.unpack_from(">H", data, start + o)[0]: start + o for o in offsets}
    if 12 in by_format:
        (groups,) = struct.unpack_from(">L", data, by_format[12] + 12)
        for n in range(groups):
            first, last, _glyph = struct.unpack_from(">LLL", data, by_format[12] + 16 + 12 * n)
            yield from range(first, last + 1)
        return
    table = by_format[4]
    (twice,) = struct.unpack_from(">H", data, table + 6)
    for n in range(twice // 2):
        (last,) = struct.unpack_from(">H", data, table + 14 + 2 * n)
        (first,) = struct.unpack_from(">H", data, table + 16 + twice + 2 * n)
        yield from range(first, min(last, 0xFFFE) + 1)
