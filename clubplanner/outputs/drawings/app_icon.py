"""The planner's icon as a PNG for home screens, made from the one drawing that all icons are."""

from __future__ import annotations

import re

from clubplanner.outputs.drawings.picture import png_from_svg

PAPER = "#f6f4ee"
"""Behind the icon: the paper of `css/pages.css`."""
SAFE_SHARE = 0.8
"""Of a maskable icon's side, the diameter of the circle that no phone cuts off (W3C Web Application
Manifest, "Icon masks and safe zone")."""
_WHOLE = re.compile(r'<svg [^>]*viewBox="0 0 (\d+) \1"[^>]*>(.*)</svg>\s*', re.DOTALL)


def draw_app_icon(svg: str, side_px: int, *, is_maskable: bool) -> bytes:
    """Draw the icon on paper.

    Args:
        svg: Our icon: a square drawing.
        side_px: Side of the picture.
        is_maskable: Whether a phone may cut it to a circle: then all of it lies within.

    Raises:
        ValueError: If the drawing is no square.
    """
    found = _WHOLE.fullmatch(svg)
    if found is None:
        raise ValueError("An icon is drawn as a square: viewBox 0 0 n n.")
    side = int(found[1])
    share = SAFE_SHARE / 2**0.5 if is_maskable else 1.0  # the square within the circle
    off = side * (1 - share) / 2
    whole = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}">'
        f'<rect width="{side}" height="{side}" fill="{PAPER}"/>'
        f'<g transform="translate({off:g} {off:g}) scale({share:g})">{found[2]}</g></svg>'
    )
    return png_from_svg(whole, side_px, ())
