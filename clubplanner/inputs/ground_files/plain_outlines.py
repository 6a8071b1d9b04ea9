"""Outlines of a map file that knows nothing of us: GeoJSON (RFC 7946) as drawing tools write it.

Taken are a FeatureCollection, a Feature or a geometry by itself, polygons of one part or several,
closed lines, rings that are not closed, positions with a height. Properties are not read, but for a
name; what a pitch needs besides its outline is asked of whoever loads the file.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from clubplanner.inputs.ground_files.ground_features import collection
from clubplanner.inputs.reading.bounded import read_json
from clubplanner.inputs.reading.faults import Faults
from clubplanner.inputs.reading.fields import is_number
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from clubplanner.domain.problems import Problem

Ring = list[tuple[float, float]]
MOST_OUTLINES = 30
NAMES = ("name", "title", "label", "Name", "NAME")
LONGEST_NAME = 80
OURS = ("role", "length_m", "width_m", "corners_m")
HALF_TURN_DEG, RIGHT_ANGLE_DEG = 180.0, 90.0


@dataclass(frozen=True, slots=True)
class PlainOutline:
    """An outline as it stands in a file.

    Attributes:
        name: What the file calls it; blank where it does not.
        rings: The outer ring and those of its holes, open: the first corner is not repeated. The
            first number of a pair is the longitude, unless the file has them the other way round.
    """

    name: str
    rings: tuple[Ring, ...]


@dataclass(frozen=True, slots=True)
class PlainRead:
    """What a file of outlines gave.

    Attributes:
        outlines: In the order of the file.
        left_out: How many points, lines and other things were not outlines.
        problems: Why there is none.
    """

    outlines: tuple[PlainOutline, ...]
    left_out: int
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """What a file does not say of an outline, as somebody answered it.

    Attributes:
        outline: Which.
        properties: Name, surface, floodlights, cuts; as in a grounds file.
    """

    outline: PlainOutline
    properties: Mapping[str, Any]


def is_plain(text: str) -> bool:
    """Tell whether a file names neither a venue nor anything of a pitch: it is no grounds file."""
    data = read_json(text, Faults(""))
    if not isinstance(data, dict) or isinstance(data.get("venue"), str):
        return False
    features = data.get("features")
    listed = features if isinstance(features, list) else [data]
    return not any(
        isinstance(feature, dict)
        and isinstance(feature.get("properties"), dict)
        and any(name in feature["properties"] for name in OURS)
        for feature in listed
    )


def read_plain(text: str, file_name: str) -> PlainRead:
    """Read the outlines of a map file."""
    faults = Faults(file_name)
    data = read_json(text, faults)
    if faults.found:
        return PlainRead((), 0, tuple(faults.found))
    outlines: list[PlainOutline] = []
    left_out = 0
    for name, kind, coordinates in _shapes(data):
        rings = _rings(kind, coordinates)
        if rings:
            outlines.append(PlainOutline(name, rings))
        else:
            left_out += 1
    if not outlines:
        words = _("There is no outline in this file; draw each pitch as a polygon and save it anew")
        faults.add("", "no-outline", words)
    elif len(outlines) > MOST_OUTLINES:
        words = _("There are more than %(most)s outlines in this file", most=MOST_OUTLINES)
        faults.add("", "too-many", words)
    elif not any(_can_be(outlines, is_swapped=order) for order in (False, True)):
        words = _(
            "The corners are no degrees; save the file in longitude and latitude (WGS 84, "
            "EPSG:4326)"
        )
        faults.add("", "no-degrees", words)
    return PlainRead(tuple(outlines), left_out, tuple(faults.found))


def orders_of(outlines: Sequence[PlainOutline]) -> tuple[bool, ...]:
    """Return which orders of coordinates make places on earth: longitude first is False."""
    return tuple(order for order in (False, True) if _can_be(outlines, is_swapped=order))


def write_answers(venue: str, answers: Iterable[Answer], *, is_swapped: bool) -> str:
    """Write outlines and what was answered as a grounds file of ours.

    Args:
        venue: The venue's name.
        answers: One for each pitch that is wanted.
        is_swapped: Whether the file has the latitude first.
    """
    features = [
        {
            "type": "Feature",
            "properties": {"role": "pitch", **answer.properties},
            "geometry": {
                "type": "Polygon",
                "coordinates": [
                    [*positions, positions[0]]
                    for positions in turned(answer.outline, is_swapped=is_swapped)
                ],
            },
        }
        for answer in answers
    ]
    return collection(venue, features)


def turned(outline: PlainOutline, *, is_swapped: bool) -> list[list[list[float]]]:
    """Return the rings of an outline, longitude first."""
    return [[[b, a] if is_swapped else [a, b] for a, b in ring] for ring in outline.rings]


def _shapes(data: Any, name: str = "") -> Iterator[tuple[str, str, Any]]:
    """Yield the name, kind and coordinates of each geometry, however deep; several parts apart."""
    if not isinstance(data, dict):
        return
    kind = data.get("type")
    if kind == "FeatureCollection":
        for feature in _list(data.get("features")):
            yield from _shapes(feature)
    elif kind == "Feature":
        yield from _shapes(data.get("geometry"), _name(data.get("properties")))
    elif kind == "GeometryCollection":
        for part in _list(data.get("geometries")):
            yield from _shapes(part, name)
    elif isinstance(kind, str) and kind.startswith("Multi"):
        for part in _list(data.get("coordinates")):
            yield name, kind.removeprefix("Multi"), part
    elif isinstance(kind, str):
        yield name, kind, data.get("coordinates")


def _rings(kind: str, coordinates: Any) -> tuple[Ring, ...]:
    """Read the rings of a polygon or a closed line; empty for anything else."""
    if kind == "Polygon":
        rings = [_ring(ring) for ring in _list(coordinates)]
        return tuple(rings) if rings and all(rings) else ()
    if kind == "LineString" and len(_list(coordinates)) > 3 and coordinates[0] == coordinates[-1]:
        ring = _ring(coordinates)
        return (ring,) if ring else ()
    return ()


def _ring(positions: Any) -> Ring:
    """Read a ring, closed or not, its positions with a height or without; empty if it is none."""
    ring: Ring = []
    for position in _list(positions):
        pair = position[:2] if isinstance(position, list) else []
        if len(pair) != 2 or not all(map(is_number, pair)):
            return []
        ring.append((float(pair[0]), float(pair[1])))
    if len(ring) > 1 and ring[0] == ring[-1]:
        ring.pop()
    return ring if len(ring) >= 3 else []


def _can_be(outlines: Iterable[PlainOutline], *, is_swapped: bool) -> bool:
    lon, lat = (1, 0) if is_swapped else (0, 1)
    return all(
        abs(spot[lon]) <= HALF_TURN_DEG and abs(spot[lat]) <= RIGHT_ANGLE_DEG
        for outline in outlines
        for ring in outline.rings
        for spot in ring
    )


def _name(properties: Any) -> str:
    values = properties if isinstance(properties, dict) else {}
    found = next((values[key] for key in NAMES if isinstance(values.get(key), str)), "")
    return str(found).strip()[:LONGEST_NAME]


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []
