"""Tests of QR codes, drawn, turned into pixels, and read by a decoder that shares no code."""

from __future__ import annotations

import re
import struct
import zlib
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np
import pytest
import segno
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.outputs.drawings.picture import png_from_svg
from clubplanner.outputs.drawings.qr import ADDRESS_LIMIT, QUIET_MODULES, draw_qr

SVG = "{http://www.w3.org/2000/svg}"
ADDRESS = "https://club.example/ground/Zk3v9QmB0u7sTqXW1yLrAeHdPjNf5c28"


def pixels(png: bytes) -> Any:
    """Read a PNG of 8-bit colours (PNG specification, sections 5, 7.2 and 9) as grey values."""
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    at, packed, width, height, channels = 8, b"", 0, 0, 0
    while at < len(png):
        length, kind = struct.unpack_from(">I4s", png, at)
        body = png[at + 8 : at + 8 + length]
        if kind == b"IHDR":
            width, height, depth, colour = struct.unpack_from(">IIBB", body)
            assert depth == 8
            channels = {0: 1, 2: 3, 6: 4}[colour]
        elif kind == b"IDAT":
            packed += body
        at += length + 12
    raw = np.frombuffer(zlib.decompress(packed), np.uint8).reshape(height, -1)
    rows = np.zeros((height + 1, width + 1, channels), np.int32)
    for y in range(height):
        line = raw[y, 1:].reshape(width, channels).astype(np.int32)
        for x in range(width):
            left, up, corner = rows[y + 1, x], rows[y, x + 1], rows[y, x]
            rows[y + 1, x + 1] = (line[x] + predicted(raw[y, 0], left, up, corner)) % 256
    return rows[1:, 1:, 0].astype(np.uint8)


def predicted(filtered: int, left: Any, up: Any, corner: Any) -> Any:
    """Return what a PNG filter adds (PNG specification, section 9.2)."""
    if filtered == 4:
        guess = left + up - corner
        away = np.abs(np.stack([left - guess, up - guess, corner - guess]))
        nearest = away.argmin(axis=0)
        return np.choose(nearest, np.stack([left, up, corner]))
    return {0: left * 0, 1: left, 2: up, 3: (left + up) // 2}[int(filtered)]


def decoded(svg: str, width_px: int) -> list[str]:
    """Return what a decoder reads in a picture of a drawing."""
    grey = pixels(png_from_svg(svg, width_px, ()))
    return [code.text for code in zxingcpp.read_barcodes(grey)]


@pytest.mark.parametrize("address", [ADDRESS, "webcal://club.example/f/x.ics?a=1&b=%C3%BC#z"])
def test_a_decoder_reads_the_address(address: str) -> None:
    """A foreign decoder reads the address from a small picture of the code."""
    assert decoded(draw_qr(address, "Feed"), 160) == [address]


def test_the_border_is_light() -> None:
    """Four modules on each side are light; the drawing has no other colours than its two."""
    svg = draw_qr(ADDRESS, "Feed")
    side = int(ET.fromstring(svg).attrib["viewBox"].split()[2])  # noqa: S314 - our own
    grey = pixels(png_from_svg(svg, side * 3, ()))
    edge = QUIET_MODULES * 3
    inner = grey[edge:-edge, edge:-edge]
    assert set(np.unique(grey)) == {0, 255}
    assert int((grey == 0).sum()) == int((inner == 0).sum()) > 0
    assert (inner[0] == 0).any()
    assert (inner[:, 0] == 0).any()


@settings(max_examples=50, deadline=None)
@given(st.text(st.characters(min_codepoint=33, max_codepoint=126), min_size=1, max_size=300))
def test_every_module_is_drawn(path: str) -> None:
    """The dark modules of the drawing are those of the code, one by one, for any address."""
    address = f"https://{path}"
    matrix = segno.make_qr(address, error="M").matrix
    drawing = ET.fromstring(draw_qr(address, "x"))  # noqa: S314 - our own
    (shape,) = drawing.iter(f"{SVG}path")
    drawn = set()
    for found in re.finditer(r"M(\d+) (\d+)h(\d+)v1h-(\d+)z", shape.attrib["d"]):
        x, y, there, back = map(int, found.groups())
        assert there == back
        drawn |= {(x + step - QUIET_MODULES, y - QUIET_MODULES) for step in range(there)}
    wanted = {(x, y) for y, row in enumerate(matrix) for x, module in enumerate(row) if module}
    assert drawn == wanted
    assert len(matrix) >= 21  # the smallest code; never one of the micro codes few phones read


def test_the_drawing_says_what_it_is() -> None:
    """The code has a title and a description for those who cannot see it, safely escaped."""
    svg = draw_qr(ADDRESS, "Feed of <U12> & friends")
    drawing = ET.fromstring(svg)  # noqa: S314 - our own
    assert drawing.findtext(f"{SVG}title") == "Feed of <U12> & friends"
    assert "camera" in (drawing.findtext(f"{SVG}desc") or "")
    assert ADDRESS not in svg
    assert draw_qr(ADDRESS, "Feed of <U12> & friends") == svg


def test_the_longest_address_fits() -> None:
    """An address of the greatest length still makes a code that a decoder reads."""
    address = "https://club.example/" + "a" * (ADDRESS_LIMIT - 21)
    assert decoded(draw_qr(address, "Feed"), 740) == [address]


@pytest.mark.parametrize(
    "address",
    [
        "",
        "club.example",
        "javascript:alert(1)",
        "https://a b",
        "https://ü",
        "https://" + "x" * 2000,
    ],
)
def test_what_is_no_address_is_refused(address: str) -> None:
    """Only addresses that a phone opens as a page or a calendar become codes."""
    with pytest.raises(ValueError, match="Give an address that starts with"):
        draw_qr(address, "Feed")
