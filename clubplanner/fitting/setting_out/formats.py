"""Published sizes: game formats by age, and bands of practice areas by players a side.

The tables are data with their source beside each row; this module only reads their text. Yards
and feet are kept as published and turned into metres exactly (1 yd = 0.9144 m, 1 ft = 0.3048 m,
international yard of 1959).
"""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass
from datetime import date
from itertools import combinations
from typing import TYPE_CHECKING, TypeVar

from clubplanner.domain.ground.formats import METRES_PER_FOOT, STANDINGS, GameFormat
from clubplanner.domain.ground.grounds import METRES_PER_YARD
from clubplanner.fitting.outlines.known import fit_pieces_again

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from shapely import Polygon

_Row = TypeVar("_Row")


@dataclass(frozen=True, slots=True)
class PracticeBand:
    """Practice areas one source gives for games of n against n.

    Attributes:
        side: Outfield players a side.
        sizes_m: (width, length) of each area, smallest first.
        source: Where they are published.
        standing: How sure the figures are, one of `STANDINGS`.
    """

    side: int
    sizes_m: tuple[tuple[float, float], ...]
    source: str
    standing: str


def parse_formats(text: str) -> tuple[GameFormat, ...]:
    """Read a table of game formats.

    Args:
        text: CSV with a header line; valid_from and valid_until may be left out. Lengths stand
            in `…_yd` or `…_ft` where the source uses them, else in `…_m`; an empty cell means
            the source gives none.

    Returns:
        The formats in the order of the table.

    Raises:
        ValueError: If rows have faults; the message names every one with its line.
    """
    formats = _read_rows(text, _format_from_row)
    doubles = sorted(
        {one.code for one, other in combinations(formats, 2) if _hold_together(one, other)}
    )
    if doubles:
        raise ValueError(f"Each format needs a code of its own; used twice: {', '.join(doubles)}.")
    return formats


def parse_practice_bands(text: str) -> tuple[PracticeBand, ...]:
    """Read a table of practice areas.

    Args:
        text: CSV with columns side, width_m, length_m, standing and source.

    Returns:
        One band for each source and number a side, in the order they first appear.

    Raises:
        ValueError: If rows have faults; the message names every one with its line.
    """
    bands: dict[tuple[str, int, str], list[tuple[float, float]]] = {}
    for source, side, standing, size in _read_rows(text, _size_from_row):
        bands.setdefault((source, side, standing), []).append(size)
    return tuple(
        PracticeBand(side, tuple(sorted(sizes, key=math.prod)), source, standing)
        for (source, side, standing), sizes in bands.items()
    )


def find_format(
    formats: Iterable[GameFormat],
    age: int | None,
    *,
    on: date,
    sport: str = "football",
    body: str | None = None,
) -> GameFormat | None:
    """Find the format of an age group.

    Args:
        formats: In order of preference.
        age: 13 for under 13s; None for adults.
        on: The date for which it is asked: bodies change their ages from season to season.
        sport: Which sport's formats to look at.
        body: Whose formats; None for the body that comes first in that sport. Two bodies are
            never mixed.

    Returns:
        The first that holds on the date and covers the age group; None when none does.
    """
    for item in formats:
        if item.sport != sport or item.body != (body or item.body):
            continue
        body = item.body
        if item.is_valid_on(on) and item.covers_age(age):
            return item
    return None


def match_of_age(
    own: Iterable[GameFormat], published: Iterable[GameFormat], age: int | None, *, on: date
) -> GameFormat | None:
    """Find the form of the game that children of an age play their matches in.

    Args:
        own: The club's own table, which comes first where it covers the age; it also tells which
            sports the club plays.
        published: The published formats.
        age: 13 for under 13s; None for adults.
        on: The date of the session.

    Returns:
        The format; for those younger than any, the youngest's. None for adults, and where no
        table of the club's sports knows ages.
    """
    if age is None:
        return None
    own = [item for item in own if item.is_valid_on(on)]
    for item in own:
        if item.covers_age(age):
            return item
    sport = own[0].sport if own else "football"
    known = [item for item in published if item.sport == sport and item.is_valid_on(on)]
    known = [item for item in known if item.body == known[0].body and item.age_from is not None]
    found = find_format(known, age, on=on, sport=sport)
    youngest = min(known, key=lambda item: item.age_from or 0, default=None)
    if found is None and youngest is not None and age < (youngest.age_from or 0):
        return youngest
    return found


def fits_format(ground: Polygon, game_format: GameFormat) -> bool:
    """Tell whether a format's pitch, without its run-off, fits on a ground.

    Args:
        ground: Valid polygon, metres.
        game_format: Whose pitch is meant; it may lie along or across.

    Returns:
        Whether a place for it was found.
    """
    fit = fit_pieces_again(ground, game_format.length_m, game_format.width_m, enough=1)
    return fit.count > 0


def _read_rows(text: str, convert: Callable[[dict[str, str]], _Row]) -> tuple[_Row, ...]:
    rows: list[_Row] = []
    faults: list[str] = []
    reader = csv.DictReader(io.StringIO(text), restval="")
    for row in reader:
        try:
            rows.append(convert({key: (row[key] or "").strip() for key in row if key}))
        except (KeyError, ValueError) as fault:
            missing = isinstance(fault, KeyError)
            words = f"there is no column {fault}" if missing else str(fault)
            faults.append(f"line {reader.line_num}: {words}")
    if faults:
        raise ValueError("The table has faults. " + "; ".join(faults))
    return tuple(rows)


def _format_from_row(row: dict[str, str]) -> GameFormat:
    length, width = _length(row, "length", "yd"), _length(row, "width", "yd")
    players = _whole(row, "players_a_side")
    if length is None or width is None or players is None:
        raise ValueError("give the length, the width and the players a side")
    if not row["code"] or not row["source"]:
        raise ValueError("give a code and a source")
    return GameFormat(
        code=row["code"],
        sport=row["sport"],
        body=row["body"],
        age_from=_whole(row, "age_from"),
        age_to=_whole(row, "age_to"),
        players_a_side=players,
        length_m=length,
        width_m=width,
        run_off_m=_length(row, "run_off", "yd"),
        goal_width_m=_length(row, "goal_width", "ft"),
        goal_height_m=_length(row, "goal_height", "ft"),
        standing=_standing(row),
        source=row["source"],
        note=row.get("note", ""),
        valid_from=_date(row, "valid_from"),
        valid_until=_date(row, "valid_until"),
    )


def _size_from_row(row: dict[str, str]) -> tuple[str, int, str, tuple[float, float]]:
    side = _whole(row, "side")
    width, length = _length(row, "width", ""), _length(row, "length", "")
    if side is None or width is None or length is None or not row["source"]:
        raise ValueError("give the side, the width, the length and the source")
    return row["source"], side, _standing(row), (width, length)


def _standing(row: dict[str, str]) -> str:
    if row["standing"] not in STANDINGS:
        raise ValueError(f"standing is one of {', '.join(STANDINGS)}, not {row['standing']!r}")
    return row["standing"]


def _whole(row: dict[str, str], name: str) -> int | None:
    if not row[name]:
        return None
    if not row[name].isascii() or not row[name].isdigit() or not 1 <= int(row[name]) <= 99:
        raise ValueError(f"{name} is a whole number from 1 to 99, not {row[name]!r}")
    return int(row[name])


def _date(row: dict[str, str], name: str) -> date | None:
    if not row.get(name):
        return None
    try:
        return date.fromisoformat(row[name])
    except ValueError as fault:
        raise ValueError(f"{name} is a date like 2026-07-01, not {row[name]!r}") from fault


def _hold_together(one: GameFormat, other: GameFormat) -> bool:
    """Tell whether two rows claim one code on the same date."""
    ends_before = one.valid_until is not None and one.valid_until <= (other.valid_from or date.min)
    begins_after = other.valid_until is not None and other.valid_until <= (
        one.valid_from or date.min
    )
    return one.code == other.code and not ends_before and not begins_after


def _length(row: dict[str, str], name: str, unit: str) -> float | None:
    """Read a length in metres, or in the older unit it was published in."""
    factor = {"yd": METRES_PER_YARD, "ft": METRES_PER_FOOT}.get(unit, 1.0)
    for key, scale in ((f"{name}_{unit}", factor), (f"{name}_m", 1.0)):
        if not row.get(key):
            continue
        try:
            value = float(row[key]) * scale
        except ValueError as fault:
            raise ValueError(f"{key} is a number, not {row[key]!r}") from fault
        if not 0 < value <= 500:
            raise ValueError(f"{key} is a length on a sports ground, not {row[key]!r}")
        return value
    return None
