"""Reading where something lies from whatever somebody pastes: coordinates, a `geo:` URI, a link.

Coordinates are looked for in the text itself, however it is built: no map's own form of link is
known here. Latitude first is usual among people, longitude first among programs; where both orders
make a place on earth, both are given, for somebody to choose.
"""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

Spot = tuple[float, float]
"""Longitude and latitude, degrees east and north."""

LONGEST = 2_000
MOST_SPOTS = 4
SAME_DEG = 0.02
"""Two pairs of one link that lie so near each other are one place: its pin and its view."""
KM_PER_DEG = 111.2
NEAR_KM = 200.0
"""A club's grounds lie within such a distance of each other (our own choice)."""
ZONE_KM = 2_000.0
"""So far from the chief place of its time zone a ground may lie (our own choice: most zones are
smaller)."""

_NUMBER = r"[-+−]?\d{1,3}(?:\.\d+)?"
_GEO = re.compile(rf"^geo:({_NUMBER}),({_NUMBER})(?:,{_NUMBER})?(?:;.*)?$", re.IGNORECASE)
_NAMED = {
    "lat": re.compile(rf"(?<![a-z])m?lat(?:itude)?[=:]\s*({_NUMBER})", re.IGNORECASE),
    "lon": re.compile(rf"(?<![a-z])m?(?:lon(?:g|gitude)?|lng)[=:]\s*({_NUMBER})", re.IGNORECASE),
}
_ANGLE = r"""(\d{1,3}(?:[.,]\d+)?)\s*°?\s*(?:(\d{1,2}(?:[.,]\d+)?)\s*['′’]\s*)?"""
_ANGLE += r"""(?:(\d{1,2}(?:[.,]\d+)?)\s*(?:["″”]|''|′′)\s*)?"""
_LETTER_AFTER = re.compile(rf"{_ANGLE}([NSEOW])(?![a-z])", re.IGNORECASE)
_LETTER_BEFORE = re.compile(rf"(?<![a-z])([NSEOW])\s*{_ANGLE}", re.IGNORECASE)
_ESCAPED = re.compile(r"(?:%[0-9A-Fa-f]{2})+")
_LINK = re.compile(r"^[a-z][a-z0-9+.-]*://", re.IGNORECASE)
_FINE = r"[-+−]?\d{1,3}\.\d{3,}"
_IN_LINK = re.compile(rf"(?<![\d.])({_FINE})\s*[,/;+ ]\s*({_FINE})(?![\d.])")
_PAIR = re.compile(rf"^\(?\[?({_NUMBER})(?:°?\s*[,;/]\s*|°?\s+)({_NUMBER})°?\]?\)?$")
_COMMA_PAIR = re.compile(r"^([-+−]?\d{1,3},\d+)\s*(?:[;,/]\s*|\s+)([-+−]?\d{1,3},\d+)$")


def read_place(text: str) -> tuple[Spot, ...]:
    """Read a place from pasted text.

    Args:
        text: Like "52.47, 1.75", "52°28'N 1°45'E", "geo:52.47,1.75" (RFC 5870: latitude first), or
            a link that has coordinates somewhere in it.

    Returns:
        One spot where there is no doubt, several to choose from, the likeliest first, where there
        is; none where no coordinates were found.
    """
    plain = _ESCAPED.sub(_unescaped, text[:LONGEST]).strip()
    if found := _GEO.match(plain):
        return _on_earth([(_number(found[2]), _number(found[1]))])
    named = {key: pattern.search(plain) for key, pattern in _NAMED.items()}
    if (lat := named["lat"]) is not None and (lon := named["lon"]) is not None:
        return _on_earth([(_number(lon[1]), _number(lat[1]))])
    if _LINK.match(plain):
        return _both_orders(_pairs_in_link(plain))
    if spot := _with_letters(plain):
        return _on_earth([spot])
    pair = _PAIR.match(plain) or _COMMA_PAIR.match(plain)
    return _both_orders([(_number(pair[1]), _number(pair[2]))]) if pair else ()


def spots_near(
    spots: Sequence[Spot], known: Iterable[Spot], within_km: float = NEAR_KM
) -> tuple[Spot, ...]:
    """Leave those spots that lie near a place that is known; all of them where none does."""
    places = tuple(known)
    near = tuple(s for s in spots if any(_apart_km(s, place) <= within_km for place in places))
    return near or tuple(spots)


def geo_uri(spot: Spot, digits: int = 7) -> str:
    """Write a place as a `geo:` URI (RFC 5870); seven digits are a centimetre."""
    lon, lat = (f"{round(value, digits):.{digits}f}".rstrip("0").rstrip(".") for value in spot)
    return f"geo:{lat},{lon}"


def _pairs_in_link(text: str) -> list[Spot]:
    """Return the pairs of fine numbers, as they follow each other; those of one place once."""
    pairs: list[Spot] = []
    for found in _IN_LINK.finditer(text):
        pair = _number(found[1]), _number(found[2])
        is_known = any(max(abs(a - b) for a, b in zip(pair, one, strict=True)) < SAME_DEG
                       for one in pairs)  # fmt: skip
        if not is_known:
            pairs.append(pair)
    return pairs


def _both_orders(pairs: Iterable[Spot]) -> tuple[Spot, ...]:
    """Return the spots that pairs of numbers can mean, latitude first before longitude first."""
    return _on_earth(spot for first, second in pairs for spot in ((second, first), (first, second)))


def _with_letters(text: str) -> Spot | None:
    """Read degrees, minutes and seconds with letters; "O" is east, as in German."""
    after = [(found[4], found.groups()[:3]) for found in _LETTER_AFTER.finditer(text)]
    before = [(found[1], found.groups()[1:]) for found in _LETTER_BEFORE.finditer(text)]
    for read in (before, after):
        letters = "".join(letter for letter, _parts in read).upper()
        if len(letters) != 2:
            continue
        values = [_degrees(letter, parts) for letter, parts in read]
        if letters[0] in "NS" and letters[1] in "EOW":
            return values[1], values[0]
        if letters[0] in "EOW" and letters[1] in "NS":
            return values[0], values[1]
    return None


def _degrees(letter: str, parts: Sequence[str | None]) -> float:
    value = sum(_number(part) / 60.0**n for n, part in enumerate(parts) if part)
    return -value if letter.upper() in "SW" else value


def _unescaped(found: re.Match[str]) -> str:
    """Return what a link says by "%2C" and the like (RFC 3986, section 2.1)."""
    return bytes.fromhex(found[0].replace("%", "")).decode("utf-8", "replace")


def _number(text: str) -> float:
    return float(text.replace("−", "-").replace(",", "."))


def _on_earth(spots: Iterable[Spot]) -> tuple[Spot, ...]:
    real = [(lon, lat) for lon, lat in spots if abs(lon) <= 180 and abs(lat) <= 90]
    return tuple(dict.fromkeys(real))[:MOST_SPOTS]


def _apart_km(one: Spot, other: Spot) -> float:
    """Return about how far two places lie apart; good enough to tell a town from a continent."""
    east = ((one[0] - other[0] + 180) % 360 - 180) * math.cos(math.radians(other[1]))
    return KM_PER_DEG * math.hypot(east, one[1] - other[1])
