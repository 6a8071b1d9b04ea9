"""From a drawing to a PNG picture: only our own SVG, with our own fonts, and its words within."""

from __future__ import annotations

import re
import struct
import zlib
from functools import lru_cache
from html import unescape

import resvg_py

from clubplanner.outputs.drawings.glyphs import faces_of, with_fonts

MOST_PIXELS = 4_000
PICTURE_WIDTH_PX = 1080
"""Of a picture of ground, three pixels a unit: sharp on a phone."""
MOST_REMEMBERED = 48
"""Pictures that a process remembers, some 100 kB each: all of a squad ask for the same."""
_WORDS = {"Title": re.compile(r"<title>([^<]*)"), "Description": re.compile(r"<desc>([^<]*)")}
_AFTER_HEAD = 33
"""Where chunks may follow: 8 bytes of signature, 25 of the header."""


@lru_cache(maxsize=MOST_REMEMBERED)
def png_from_svg(svg: str, width_px: int, font_files: tuple[str, ...]) -> bytes:
    """Render a drawing.

    Args:
        svg: A drawing made by this package; the renderer gives up the whole process on an absurd
            canvas, so nothing else may be given.
        width_px: Width of the picture; the height follows.
        font_files: Paths of the font files, those of `clubplanner.outputs.drawings.svg.FONT` first.

    Returns:
        The picture, with title and description of the drawing as its texts, for programs that
        read them to whoever cannot see it.

    Raises:
        ValueError: If the width is not from 1 to 4,000.
    """
    if not 1 <= width_px <= MOST_PIXELS:
        raise ValueError(f"A picture is 1 to {MOST_PIXELS} pixels wide, not {width_px}.")
    png = bytes(
        resvg_py.svg_to_bytes(
            svg_string=with_fonts(svg, faces_of(font_files)),
            width=width_px,
            font_files=list(font_files),
            skip_system_fonts=True,
            background="#ffffff",
        )
    )
    texts = {name: found[1] for name, tag in _WORDS.items() if (found := tag.search(svg))}
    return _with_texts(png, {name: unescape(words) for name, words in texts.items()})


def _with_texts(png: bytes, texts: dict[str, str]) -> bytes:
    """Put texts into a picture (PNG, third edition, section 11.3.3.4: iTXt)."""
    chunks = b""
    for name, words in texts.items():
        data = b"iTXt" + name.encode("latin-1") + bytes(5) + words.encode()
        chunks += struct.pack(">L", len(data) - 4) + data + struct.pack(">L", zlib.crc32(data))
    return png[:_AFTER_HEAD] + chunks + png[_AFTER_HEAD:]
