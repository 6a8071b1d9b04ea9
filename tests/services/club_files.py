"""The invented club's files for tests, with places to change them."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.resources import invented_club_files

if TYPE_CHECKING:
    from collections.abc import Callable

GROUNDS = "osier-lane.geojson"
SETTINGS = "club.toml"
SQUADS = "squads.csv"


def club_files(**texts: str) -> list[ClubFile]:
    """Return the files; `texts` replace some by their names' stems, with underscores."""
    return [
        ClubFile(path.name, texts[stem].encode())
        if (stem := path.stem.replace("-", "_")) in texts
        else ClubFile(path.name, path.read_bytes())
        for path in invented_club_files()
    ]


def text_of(name: str) -> str:
    """Return the text of one of the files."""
    (path,) = (path for path in invented_club_files() if path.name == name)
    return path.read_text(encoding="utf-8")


def grounds(change: Callable[[dict[str, Any]], None], *more: dict[str, Any]) -> ClubFile:
    """Return the grounds of Osier Lane with the top pitch changed and more features added."""
    data = json.loads(text_of(GROUNDS))
    (top,) = (f for f in data["features"] if f["properties"].get("name") == "Top pitch")
    change(top["properties"])
    data["features"].extend(more)
    return ClubFile(GROUNDS, json.dumps(data).encode())


def settings(*more: str) -> ClubFile:
    """Return the settings with lines added at their end."""
    return ClubFile(SETTINGS, "\n".join((text_of(SETTINGS), *more)).encode())


def set_booking(**values: str) -> str:
    """Return the lines of a set booking on the top pitch, 18:00–19:15 on a Wednesday."""
    lines = {
        "who": '"Night Runners"',
        "venue": '"Osier Lane"',
        "pitch": '"Top pitch"',
        "date": "2026-12-02",
        "from": '"18:00"',
        "to": '"19:15"',
        **{key.rstrip("_"): value for key, value in values.items()},
    }
    return "\n".join(("[[bookings]]", *(f"{key} = {value}" for key, value in lines.items())))
