"""From a drawing to a PNG picture: only our own SVG, with our own font."""

from __future__ import annotations

import resvg_py

from clubplanner.outputs.drawings.glyphs import with_known_letters

MOST_PIXELS = 4_000
PICTURE_WIDTH_PX = 1080
"""Of a picture of ground, three pixels a unit: sharp on a phone."""


def png_from_svg(svg: str, width_px: int, font_files: tuple[str, ...]) -> bytes:
    """Render a drawing.

    Args:
        svg: A drawing made by this package; the renderer gives up the whole process on an absurd
            canvas, so nothing else may be given.
        width_px: Width of the picture; the height follows.
        font_files: Paths of the font files that hold `clubplanner.outputs.drawings.svg.FONT`.

    Raises:
        ValueError: If the width is not from 1 to 4,000.
    """
    if not 1 <= width_px <= MOST_PIXELS:
        raise ValueError(f"A picture is 1 to {MOST_PIXELS} pixels wide, not {width_px}.")
    return bytes(
        resvg_py.svg_to_bytes(
            svg_string=with_known_letters(svg),
            width=width_px,
            font_files=list(font_files),
            skip_system_fonts=True,
            background="#ffffff",
        )
    )
