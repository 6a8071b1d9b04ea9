"""What a picture says above its drawing: who, when and where, for whoever gets it passed on."""

from __future__ import annotations

import re
from dataclasses import dataclass

from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.lettering import LINE
from clubplanner.outputs.drawings.plan_values import INK, OWN_FILL, SOFT_INK

MARGIN = 22.0
NAME, PLAIN, SMALL = 23.0, 15.0, 13.0
"""Sizes of letters, units of 360: a picture is read as small as a chat shows it."""
MOST_LINES = 2
"""Lines that a name or a place may take before it is cut off."""
PILL_X, PILL_Y = 8.0, 4.0
RULE = "#d5d3c8"
BEFORE_RULE, AFTER_RULE = 12.0, 6.0

_WHOLE = re.compile(r'<svg [^>]*viewBox="0 0 ([\d.]+) ([\d.]+)"[^>]*>(.*)</svg>', re.DOTALL)


@dataclass(frozen=True, slots=True)
class Caption:
    """Who, when and where.

    Attributes:
        who: The squad, or whoever has the ground.
        times: Local times: "18:00–19:15".
        day: The date, written out.
        where: Area, pitch and venue.
        club: The club's name.
        state: What to know of a session that is not simply on; blank for one that is.
    """

    who: str
    times: str
    day: str
    where: str
    club: str
    state: str = ""


def with_caption(drawing: str, caption: Caption) -> str:
    """Put a caption above a drawing of this package, as wide as that.

    Raises:
        ValueError: If it is no whole drawing.
    """
    whole = _WHOLE.fullmatch(drawing)
    if whole is None:
        raise ValueError("Only a whole drawing of ours can have a caption.")
    width, height = float(whole[1]), float(whole[2])
    parts, tall = _draw_caption(caption, width)
    below = svg.element("g", whole[3], transform=f"translate(0 {tall:.1f})")
    title = f"{caption.who}: {caption.where}"
    return svg.document(
        width, height + tall, title, f"{caption.times} {caption.day}", [*parts, below]
    )


def _draw_caption(caption: Caption, width: float) -> tuple[list[str], float]:
    """Write the lines of a caption.

    Returns:
        Markup, and the height it takes.
    """
    room, y = width - 2 * MARGIN, MARGIN
    parts: list[str] = []
    for words, size, most, bold, fill in (
        (caption.club, SMALL, 1, False, SOFT_INK),
        (caption.who, NAME, MOST_LINES, True, INK),
        (caption.where, PLAIN, MOST_LINES, False, INK),
    ):
        for line in svg.fit_lines(words, size, room, most, bold=bold):
            middle = y + size * LINE / 2
            parts.append(
                svg.label(line, MARGIN, middle, size=size, bold=bold, fill=fill, anchor="start")
            )
            y += size * LINE
    pill, tall = _draw_when(caption, y + 6, room)
    parts.extend(pill)
    y += 6 + tall
    if caption.state:
        y += 4
        for line in svg.fit_lines(caption.state, PLAIN, room, 3, bold=True):
            middle = y + PLAIN * LINE / 2
            parts.append(svg.label(line, MARGIN, middle, size=PLAIN, bold=True, anchor="start"))
            y += PLAIN * LINE
    y += BEFORE_RULE
    data = f"M{MARGIN:.1f} {y:.1f}L{width - MARGIN:.1f} {y:.1f}"
    parts.append(svg.element("path", d=data, stroke=RULE, stroke_width=1, fill="none"))
    return parts, y + AFTER_RULE


def _draw_when(caption: Caption, top: float, room: float) -> tuple[list[str], float]:
    """Write the times on a plate and the date beside it, below it where there is no room."""
    wide = svg.text_width(caption.times, PLAIN, bold=True) + 2 * PILL_X
    tall = PLAIN * LINE + 2 * PILL_Y
    box = {"x": MARGIN, "y": top, "width": wide, "height": tall}
    middle = top + tall / 2
    parts = [
        svg.element("rect", **box, rx=5, fill=OWN_FILL),
        svg.label(caption.times, MARGIN + wide / 2, middle, size=PLAIN, bold=True),
    ]
    if wide + PILL_X + svg.text_width(caption.day, PLAIN) <= room:
        x = MARGIN + wide + PILL_X
        return [*parts, svg.label(caption.day, x, middle, size=PLAIN, anchor="start")], tall
    line = svg.clip_to_width(caption.day, PLAIN, room)
    below = top + tall + 3 + PLAIN * LINE / 2
    parts.append(svg.label(line, MARGIN, below, size=PLAIN, anchor="start"))
    return parts, tall + 3 + PLAIN * LINE
