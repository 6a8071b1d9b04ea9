"""Drawings lie on a light sheet on every page, since they are dark on light as on paper."""

from __future__ import annotations

import re

from clubplanner.resources import resource_folder

WEB = resource_folder("web")
DRAWN = re.compile(r"\{\{[^{}]*\|\s*drawing\b[^{}]*\}\}")
SHEET = re.compile(r'class="(?:[^"]*\s)?(sheet|board-plan)(?:\s[^"]*)?"[^<>]*>$')


def test_no_drawing_lies_on_the_page_itself() -> None:
    """In dark colours its words and scale could not be read there."""
    bare, count = [], 0
    for path in sorted((WEB / "templates").rglob("*.html")):
        text = path.read_text("utf-8")
        for drawn in DRAWN.finditer(text):
            count += 1
            if not SHEET.search(text[: drawn.start()].rstrip()):
                bare.append(f"{path.name}: {drawn[0]}")
    assert not bare
    assert count > 9


def test_every_sheet_is_dimmed_at_night() -> None:
    """A white sheet glares where all else is dark."""
    style = (WEB / "static" / "css" / "pages.css").read_text("utf-8")
    dark = " ".join(
        re.findall(r"prefers-color-scheme: dark\) \{ ([^{]*\{[^}]*brightness[^}]*\})", style)
    )
    assert {".sheet", ".board-plan"} <= set(re.findall(r"\.[\w-]+", dark))
