"""The invented club's files, moved so that today lies in its winter."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import TYPE_CHECKING

from clubplanner.resources import invented_club_files

if TYPE_CHECKING:
    from pathlib import Path

IN_WINTER = date(2026, 11, 16)
"""A Monday of the invented club's winter: the week that today's is made to be."""
HIRED = """
[[bookings]]
who = "Sunrise yoga"
purpose = "hire"
venue = "Osier Lane"
pitch = "Top pitch"
date = {day}
from = "06:00"
to = "07:30"
"""
"""What took place last month, for a statement."""


def write_club(folder: Path, today: date) -> list[str]:
    """Write the invented club's files, its year moved so that today lies in its winter.

    Returns:
        The files' names.
    """
    this_monday = today - timedelta(days=today.weekday())
    moved = this_monday - IN_WINTER

    def move(found: re.Match[str]) -> str:
        return str(date.fromisoformat(found[0]) + moved)

    names = []
    for path in invented_club_files():
        text = path.read_text("utf-8")
        is_settings = path.suffix == ".toml"
        text = re.sub(r"\b\d{4}-\d{2}-\d{2}\b", move, text) if is_settings else text
        (folder / path.name).write_text(text, "utf-8")
        names.append(path.name)
    return names
