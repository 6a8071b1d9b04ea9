"""A map file that says nothing of pitches: its outlines are shown, and what is missing is asked."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shapely import Polygon

from clubplanner.domain.ground.orientation.measures import size_in_words
from clubplanner.domain.ground.plans import CUTS
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.geometry.frame import Frame, frame_polygon
from clubplanner.geometry.shapes import explain_fault
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.inputs.ground_files.plain_outlines import (
    Answer,
    is_plain,
    orders_of,
    read_plain,
    turned,
    write_answers,
)
from clubplanner.inputs.reading.faults import decode_text
from clubplanner.language import _
from clubplanner.services.rows.snapshot import load_venues
from clubplanner.services.setup.grounds.files import MOST_BYTES, GroundsForeseen, foresee_grounds
from clubplanner.services.setup.grounds.typed_place import place_in_words
from clubplanner.services.setup.loading import FURTHEST_M
from clubplanner.services.showing.choosing.choices import Choice

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.inputs.ground_files.pasted_place import Spot
    from clubplanner.inputs.ground_files.plain_outlines import PlainOutline
    from clubplanner.store.engine import Store

AS_WRITTEN, SWAPPED = "lon", "lat"
"""Which number comes first in the file."""
_FEATURE = re.compile(r"feature (\d+)")


@dataclass(frozen=True, slots=True)
class OutlineShown:
    """An outline of a file.

    Attributes:
        number: Which, from 1 on.
        name: What the file calls it; may be blank.
        size: Its length and width in words.
    """

    number: int
    name: str
    size: str


@dataclass(frozen=True, slots=True)
class PlainGrounds:
    """What is asked of whoever loads a map file.

    Attributes:
        text: The file, to be sent again.
        outlines: Its outlines.
        left_out: How many other things in it are not taken.
        venues: Venues to choose from.
        orders: Which number comes first, and where that is; one entry where there is no doubt.
        order: The likelier of them.
    """

    text: str
    outlines: tuple[OutlineShown, ...]
    left_out: int
    venues: tuple[Choice, ...]
    orders: tuple[Choice, ...]
    order: str


def ask_about_file(store: Store, file: ClubFile) -> PlainGrounds | None:
    """Return what has to be asked of a map file; None for a grounds file, or no file at all.

    Raises:
        FaultyInputError: If there is nothing to be taken from it.
    """
    if not file.name or len(file.data) > MOST_BYTES:
        return None
    text = decode_text(file.data)
    return ask_about(store, text, file.name) if is_plain(text) else None


def ask_about(store: Store, text: str, file_name: str = "") -> PlainGrounds:
    """Return what has to be asked of the text of a map file.

    Raises:
        FaultyInputError: If there is nothing to be taken from it.
    """
    read = read_plain(text, file_name)
    if read.problems:
        raise FaultyInputError(read.problems)
    with store.read() as session:
        venues = load_venues(session)
    orders = orders_of(read.outlines)
    near = [order for order in orders if _is_near(venues, read.outlines, is_swapped=order)]
    chosen = (near or list(orders))[0]
    if len(near) == 1:
        orders = (chosen,)
    return PlainGrounds(
        text=text,
        outlines=tuple(
            OutlineShown(n, one.name, _size(one, is_swapped=chosen))
            for n, one in enumerate(read.outlines, 1)
        ),
        left_out=read.left_out,
        venues=tuple(Choice(venue.key, venue.name) for venue in venues),
        orders=tuple(
            Choice(_word(order), place_in_words(_first(read.outlines[0], is_swapped=order)))
            for order in orders
        ),
        order=_word(chosen),
    )


def foresee_answers(
    store: Store, text: str, cells: Mapping[str, str], now: datetime
) -> GroundsForeseen:
    """Tell what a map file would change with what was answered; nothing is changed.

    Args:
        store: The database.
        text: The file.
        cells: `venue`, `order`, and for outline N `take_N`, `name_N`, `surface_N`, `lit_N` and a
            cell for each cut, such as `halves_N`.
        now: The present instant.

    Raises:
        FaultyInputError: With every fault; `where` is the cell.
    """
    asked = ask_about(store, text)
    outlines = read_plain(text, "").outlines
    taken = [n for n in range(1, len(outlines) + 1) if cells.get(f"take_{n}")]
    if not taken:
        raise FaultyInputError([Problem("take_1", "none", _("Choose at least one outline."))])
    venue = next((v.words for v in asked.venues if v.value == cells.get("venue")), "")
    if not venue:
        raise FaultyInputError([Problem("venue", "missing", _("Choose the venue."))])
    order = cells.get("order") or asked.order
    answers = [Answer(outlines[n - 1], _properties(cells, n)) for n in taken]
    written = write_answers(venue, answers, is_swapped=order == SWAPPED)
    try:
        return foresee_grounds(store, ClubFile("grounds.geojson", written.encode()), now)
    except FaultyInputError as fault:
        problems = [_at_cell(problem, taken, cells) for problem in fault.problems]
        raise FaultyInputError(problems) from fault


def _properties(cells: Mapping[str, str], number: int) -> dict[str, object]:
    surface = cells.get(f"surface_{number}", "")
    return {
        "name": cells.get(f"name_{number}", "").strip(),
        "surface": surface,
        "indoor": surface == "indoor",
        "floodlights": bool(cells.get(f"lit_{number}")),
        "cuts": [cut for cut in CUTS if cells.get(f"{cut}_{number}")],
    }


def _at_cell(problem: Problem, taken: Sequence[int], cells: Mapping[str, str]) -> Problem:
    """Point a fault of the grounds file at the cell that is about it."""
    found = _FEATURE.search(problem.where)
    if found is None:
        name = next((n for n in taken if f"“{cells.get(f'name_{n}')}”" in problem.where), taken[0])
        return Problem(f"name_{name}", problem.code, problem.message)
    number = taken[int(found[1]) - 1]
    cell = "surface" if problem.where.endswith("property surface") else "name"
    words = _("Fill this in.") if problem.code == "missing" else problem.message
    return Problem(f"{cell}_{number}", problem.code, words)


def _word(is_swapped: bool) -> str:
    return SWAPPED if is_swapped else AS_WRITTEN


def _size(outline: PlainOutline, *, is_swapped: bool) -> str:
    """Return the size of an outline in words; blank where it encloses no ground."""
    rings = turned(outline, is_swapped=is_swapped)
    polygon = Polygon(rings[0])
    if explain_fault(polygon):
        return ""
    _frame, local = frame_polygon(polygon)
    _x0, _y0, length, width = local.bounds
    return size_in_words(length, width)


def _first(outline: PlainOutline, *, is_swapped: bool) -> Spot:
    lon, lat = turned(outline, is_swapped=is_swapped)[0][0]
    return lon, lat


def _is_near(
    venues: Sequence[Venue], outlines: Sequence[PlainOutline], *, is_swapped: bool
) -> bool:
    lon, lat = _first(outlines[0], is_swapped=is_swapped)
    return any(
        venue.lon is not None
        and venue.lat is not None
        and _away_m(Frame(venue.lon, venue.lat, 0.0), lon, lat) <= FURTHEST_M
        for venue in venues
    )


def _away_m(frame: Frame, lon: float, lat: float) -> float:
    x, y = frame.local_from_lonlat(lon, lat)
    return float((x * x + y * y) ** 0.5)
