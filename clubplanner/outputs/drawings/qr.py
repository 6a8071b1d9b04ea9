"""An address as a QR code (ISO/IEC 18004), drawn as our own SVG: scan it instead of typing it."""

from __future__ import annotations

import re
from itertools import groupby

import segno

from clubplanner.language import _
from clubplanner.outputs.drawings.svg import document, element

ADDRESS_LIMIT = 2000
"""Characters of an address; 2,331 fit the largest code at this correction level."""
QUIET_MODULES = 4
"""Light border round the code, in modules (ISO/IEC 18004, section 6.3.8, from memory)."""
_CORRECTION = "M"
"""About 15 % of the code may be dirty or torn: it is printed and pinned up outdoors."""
_ADDRESS = re.compile(r"(?:https?|webcal)://[!-~]+")


def draw_qr(address: str, title: str) -> str:
    """Draw the code of an address.

    Dark on light whatever the page's colours are, since many phones read nothing else.

    Args:
        address: http, https or webcal, percent-encoded. It may be secret: whoever sees the code
            has it.
        title: What opens, in words.

    Returns:
        An SVG; the same one for the same address and title. One module is one unit.

    Raises:
        ValueError: If it is no such address, or too long.
    """
    if len(address) > ADDRESS_LIMIT or not _ADDRESS.fullmatch(address):
        raise ValueError(
            "Give an address that starts with https://, http:// or webcal://, is percent-encoded "
            f"and has at most {ADDRESS_LIMIT} characters."
        )
    matrix = segno.make_qr(address, error=_CORRECTION).matrix
    side = len(matrix) + 2 * QUIET_MODULES
    return document(
        side,
        side,
        title,
        _("A square code; point a phone's camera at it to open the address."),
        [
            element("rect", width=side, height=side, fill="#ffffff"),
            element("path", d=_dark(matrix), fill="#000000", shape_rendering="crispEdges"),
        ],
    )


def _dark(matrix: tuple[bytearray, ...]) -> str:
    """Return path data of all dark modules, a run in a row as one rectangle."""
    runs = []
    for y, row in enumerate(matrix, QUIET_MODULES):
        x = QUIET_MODULES
        for is_dark, modules in groupby(row):
            length = len(list(modules))
            if is_dark:
                runs.append(f"M{x} {y}h{length}v1h-{length}z")
            x += length
    return "".join(runs)
