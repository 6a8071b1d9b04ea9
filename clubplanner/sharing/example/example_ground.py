"""Invented venues for examples: pitches with crossing cuts, halls, lights, opening hours.

Sizes and hours are the project's own inventions of the common kind; none belongs to a real place.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.sharing.values.problem import Darkness, Ground, LightsOut, Opening

if TYPE_CHECKING:
    import random
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.values.problem import Day

COLUMNS = 12
ROWS = 2
"""A pitch is cut into so many cells along and across: enough for every cut used here."""
DARK_FROM = 20 * 60 + 15
"""When unlit ground is of no use: a spring evening in the invented town."""
FORMATS = (("5v5", 600.0), ("7v7", 1800.0), ("9v9", 3600.0), ("11v11", 5600.0))
"""Size from which an invented pitch counts as holding a format, square metres."""
PLACES = (
    "Mill Lane",
    "Long Meadow",
    "Quarry Field",
    "Orchard Road",
    "Weir Bank",
    "Chapel Down",
    "Barley Rise",
    "Ferry Green",
    "Brickyard",
    "Heron Marsh",
    "Upper Common",
    "Tannery Park",
    "Windmill Hill",
    "Sandpit Lane",
    "Old Nursery",
    "Willow Walk",
)
_MOST_AT_A_VENUE = 4
_PARTS = {"halves": 2, "thirds": 3, "strips": 4, "quarters": 4}
_WORDS = {
    "halves": ("Near half", "Far half"),
    "thirds": ("Near third", "Middle third", "Far third"),
    "strips": ("First strip", "Second strip", "Third strip", "Fourth strip"),
    "quarters": (
        "Near left quarter",
        "Near right quarter",
        "Far left quarter",
        "Far right quarter",
    ),
}


@dataclass(frozen=True, slots=True)
class _Sort:
    """A sort of pitch: surface, length and width in metres, cuts and lights."""

    surface: str
    length_m: float
    width_m: float
    cuts: tuple[str, ...]
    is_lit: bool
    is_indoor: bool = False


_SORTS = (
    _Sort("artificial", 100.0, 64.0, ("halves", "thirds", "quarters"), is_lit=True),
    _Sort("grass", 100.0, 64.0, ("halves", "thirds"), is_lit=False),
    _Sort("grass", 96.0, 60.0, ("halves", "quarters"), is_lit=True),
    _Sort("artificial", 80.0, 50.0, ("halves", "strips"), is_lit=True),
    _Sort("grass", 80.0, 50.0, ("halves", "thirds"), is_lit=False),
    _Sort("artificial", 60.0, 40.0, ("halves",), is_lit=True),
    _Sort("indoor", 44.0, 24.0, ("halves",), is_lit=False, is_indoor=True),
)
_LIKELY = (5, 4, 4, 3, 3, 2, 2)


@dataclass(frozen=True, slots=True)
class Site:
    """The ground of an example with its hours.

    Attributes:
        grounds: Every bookable area.
        openings: When venues are open.
        darkness: When unlit ground gets dark.
        lights_out: When floodlights go off.
    """

    grounds: tuple[Ground, ...]
    openings: tuple[Opening, ...]
    darkness: tuple[Darkness, ...]
    lights_out: tuple[LightsOut, ...]


def invent_site(chance: random.Random, pitches: int, days: Sequence[Day]) -> Site:
    """Invent venues of one to four pitches.

    Args:
        chance: Where every choice comes from.
        pitches: How many in all.
        days: For the hours.
    """
    grounds: list[Ground] = []
    openings: list[Opening] = []
    darkness: list[Darkness] = []
    lights_out: list[LightsOut] = []
    number = 0
    while number < pitches:
        here = min(pitches - number, chance.randint(1, _MOST_AT_A_VENUE))
        venue = f"venue-{len({ground.venue for ground in grounds}) + 1}"
        name = _venue_name(venue)
        closes = chance.choice([21 * 60, 21 * 60 + 30, 22 * 60])
        opens = chance.choice([16 * 60, 16 * 60 + 30, 17 * 60])
        is_dimmed = chance.random() < 0.3
        for day in days:
            openings.append(Opening(venue, day.index, opens, closes))
            darkness.append(Darkness(venue, day.index, DARK_FROM))
            if is_dimmed:
                lights_out.append(LightsOut(venue, None, day.index, closes - 30))
        for nth in range(here):
            number += 1
            sort = _SORTS[number - 1] if number <= 4 else chance.choices(_SORTS, _LIKELY)[0]
            title = f"{name} {nth + 1}" if here > 1 else name
            grounds.extend(_cut(sort, f"pitch-{number}", venue, title))
    return Site(tuple(grounds), tuple(openings), tuple(darkness), tuple(lights_out))


def _venue_name(venue: str) -> str:
    number = int(venue.rpartition("-")[2]) - 1
    again, place = divmod(number, len(PLACES))
    return f"{PLACES[place]} {'East' if again == 1 else again + 1}" if again else PLACES[place]


def _cut(sort: _Sort, pitch: str, venue: str, title: str) -> Iterator[Ground]:
    yield _ground(sort, pitch, venue, "whole", 0, title)
    for cut in sort.cuts:
        for part in range(_PARTS[cut]):
            name = f"{_WORDS[cut][part]}, {title}"
            yield _ground(sort, pitch, venue, cut, part, name)


def _ground(sort: _Sort, pitch: str, venue: str, cut: str, part: int, name: str) -> Ground:
    parts = _PARTS.get(cut, 1)
    area_m2 = sort.length_m * sort.width_m / parts
    is_end = cut in ("whole", "halves", "quarters") or part in (0, parts - 1)
    return Ground(
        key=f"{pitch}/{cut}-{part + 1}" if cut != "whole" else f"{pitch}/whole",
        pitch=pitch,
        venue=venue,
        name=name,
        cells=_cells(cut, part),
        share=12 // parts,
        cut=cut,
        area_m2=area_m2,
        share_of_pitch=1 / parts,
        surface=sort.surface,
        has_goal=is_end and cut != "quarters",
        is_lit=sort.is_lit,
        is_indoor=sort.is_indoor,
        formats=frozenset(name for name, least in FORMATS if area_m2 >= least),
    )


def _cells(cut: str, part: int) -> int:
    """Return the cells of a part: strips run the whole width, quarters lie two by two."""
    rows = range(ROWS)
    if cut == "quarters":
        part, row = divmod(part, 2)
        rows = range(row, row + 1)
        parts = 2
    else:
        parts = _PARTS.get(cut, 1)
    width = COLUMNS // parts
    columns = range(part * width, (part + 1) * width)
    return sum(1 << (row * COLUMNS + column) for row in rows for column in columns)
