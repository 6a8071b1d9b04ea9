"""Time zones, always from the `tzdata` package and never from the machine.

A page, a booking and a calendar feed must agree to the minute; a machine's own zone files may be
years old.
"""

from __future__ import annotations

import importlib.resources
import io
import re
from functools import cache
from zoneinfo import ZoneInfo

from clubplanner.language import _, marked

_ZONE_NAME = re.compile(r"[A-Za-z0-9_+-]+(?:/[A-Za-z0-9_+-]+)*", re.ASCII)
_PLACE = re.compile(r"([+-])(\d{2})(\d{2})(\d{2})?([+-])(\d{3})(\d{2})(\d{2})?", re.ASCII)


@cache
def known_zones() -> frozenset[str]:
    """Return the names of all time zones, such as "Europe/London"."""
    listed = importlib.resources.files("tzdata").joinpath("zones").read_text(encoding="utf-8")
    return frozenset(listed.split())


LIKELY_ZONES = (
    "Europe/London",
    "Europe/Dublin",
    "Europe/Berlin",
    "Europe/Vienna",
    "Europe/Zurich",
)
"""Of clubs that speak one of our languages; they come first in lists."""
_PLACES = (
    marked("Africa"),
    marked("America"),
    marked("Antarctica"),
    marked("Asia"),
    marked("Atlantic"),
    marked("Australia"),
    marked("Europe"),
    marked("Indian"),
    marked("Pacific"),
)
"""What the names of zones begin with, where that is a part of the world (theory.html of tzdata)."""


def zone_groups() -> dict[str, tuple[str, ...]]:
    """Return the names of all time zones, by part of the world; those without one under ""."""
    groups: dict[str, list[str]] = {place: [] for place in (*_PLACES, "")}
    for name in sorted(known_zones()):
        start = name.partition("/")[0] if "/" in name else ""
        groups[start if start in groups else ""].append(name)
    return {place: tuple(names) for place, names in groups.items()}


@cache
def zone_places() -> dict[str, tuple[float, float]]:
    """Return longitude and latitude of each zone's chief place, degrees east and north.

    Zones that are no place's (such as "UTC") and older names are left out. Source: the table
    `zone.tab` of the time zone database (ISO 6709 places), as the `tzdata` package has it.
    """
    folder = importlib.resources.files("tzdata").joinpath("zoneinfo")
    places = {}
    for line in folder.joinpath("zone.tab").read_text(encoding="utf-8").splitlines():
        cells = line.split("\t")
        if len(cells) >= 3 and (found := _PLACE.fullmatch(cells[1])):
            lat, lon = _degrees(*found.groups()[:4]), _degrees(*found.groups()[4:])
            places[cells[2]] = (lon, lat)
    return places


def _degrees(sign: str, degrees: str, minutes: str, seconds: str | None) -> float:
    size = int(degrees) + int(minutes) / 60 + int(seconds or 0) / 3600
    return -size if sign == "-" else size


def zone_data(name: str) -> bytes:
    """Return the compiled data of a zone.

    Raises:
        ValueError: If there is no zone of that name.
    """
    missing = _(
        "There is no time zone called %(name)s. Choose one such as Europe/London.",
        name=repr(name[:100]),
    )
    if not _ZONE_NAME.fullmatch(name):
        raise ValueError(missing)
    folder = importlib.resources.files("tzdata").joinpath("zoneinfo")
    try:
        return folder.joinpath(*name.split("/")).read_bytes()
    except OSError as error:
        raise ValueError(missing) from error


@cache
def zone_from_name(name: str) -> ZoneInfo:
    """Return a time zone.

    Raises:
        ValueError: If there is no zone of that name.
    """
    return ZoneInfo.from_file(io.BytesIO(zone_data(name)), key=name)
