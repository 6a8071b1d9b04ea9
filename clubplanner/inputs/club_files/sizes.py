"""Reading a club's own table of game sizes from a CSV file, a row a format."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING

from clubplanner.domain.formulas import bare_cell
from clubplanner.domain.ground.formats import METRES_PER_FOOT, STANDINGS, GameFormat
from clubplanner.domain.ground.grounds import METRES_PER_YARD
from clubplanner.inputs.club_files.squads_file.least_ground import SHARES, SQUARE_METRES
from clubplanner.inputs.reading.faults import Faults, list_words, show_value
from clubplanner.inputs.reading.rows import Row, header_row_of, plain, read_header, rows_below
from clubplanner.inputs.reading.tables import read_table, split_rows
from clubplanner.language import _, figure

if TYPE_CHECKING:
    from clubplanner.domain.problems import Problem

UNITS = {"m": 1.0, "yd": METRES_PER_YARD, "ft": METRES_PER_FOOT}
COLUMNS = (
    "code",
    "sport",
    "body",
    "age_from",
    "age_to",
    "players_a_side",
    *(f"{name}_{unit}" for name in ("length", "width", "run_off") for unit in ("m", "yd")),
    *(f"{name}_{unit}" for name in ("goal_width", "goal_height") for unit in ("m", "ft")),
    "standing",
    "source",
    "note",
)
MARK = "playersaside"
"""Letters of the column by which such a table is told from a squads file."""
OWN = "the club's own table"
"""Said where a row names no source of its own."""
MOST_ROWS = 200
LONGEST_TEXT = 300
LONGEST_M, SHORTEST_M = 500.0, 0.5
_CODE = re.compile(r"[a-z0-9][a-z0-9.+-]{0,29}")
_NUMBER = re.compile(r"\d{1,5}(?:[.,]\d{1,6})?")


@dataclass(frozen=True, slots=True)
class SizesRead:
    """What a table of sizes gave: complete only when there is no problem."""

    formats: tuple[GameFormat, ...]
    problems: tuple[Problem, ...]


def is_size_table(text: str) -> bool:
    """Tell a table of sizes from a squads file: its first row has a column players_a_side."""
    rows = islice(split_rows(text), MOST_ROWS)
    try:
        header = next((cells for cells in rows if any(c.strip() for c in cells)), [])
    except csv.Error:
        return False
    return any(plain(cell) == MARK for cell in header)


def read_sizes(text: str, file_name: str) -> SizesRead:
    """Read a club's own table of sizes.

    Separators may be commas, semicolons or tabs. Length and width stand in metres or in yards,
    goals in metres or in feet (1 yd = 0.9144 m and 1 ft = 0.3048 m, exactly). A table without rows
    is a club without sizes of its own.

    Args:
        text: The whole file.
        file_name: How to call it in problems.
    """
    faults = Faults(file_name)
    rows = read_table(text, faults, MOST_ROWS)
    if rows is None:
        return SizesRead((), tuple(faults.found))
    first = header_row_of(rows)
    header = _read_header(first or 1, rows[first - 1] if first else [], faults)
    found: dict[str, GameFormat] = {}
    for number, cells in rows_below(first, header, rows, faults):
        row = _Row(number, cells, faults)
        read = _read_row(row)
        if read.code in found:
            row.fault(
                "code",
                "repeated",
                _("%(code)s stands there twice; keep one", code=show_value(read.code)),
            )
        found.setdefault(read.code, read)
    return SizesRead(tuple(found.values()), tuple(faults.found))


class _Row(Row):
    __slots__ = ()

    def text(self, column: str, default: str = "") -> str:
        value = bare_cell(" ".join(self.cells.get(column, "").split()))
        if len(value) > LONGEST_TEXT:
            self.fault(
                column,
                "too-long",
                _(
                    "The text has %(value)s letters; use at most %(longest_text)s",
                    value=len(value),
                    longest_text=LONGEST_TEXT,
                ),
            )
        return value or default

    def whole(self, column: str, *, required: bool = False) -> int | None:
        text = self.text(column)
        if not text and not required:
            return None
        if not re.fullmatch(r"[0-9]{1,2}", text) or int(text) < 1:
            shown = (
                _("%(words)s will not do", words=show_value(text))
                if text
                else _("A number is missing")
            )
            self.fault(
                column,
                "not-a-number",
                _("%(shown)s; write a whole number from 1 to 99", shown=shown),
            )
            return None
        return int(text)

    def length(self, name: str, units: tuple[str, str], *, required: bool = False) -> float | None:
        """Read a length that stands in one of two units, as metres."""
        filled = [unit for unit in units if self.text(f"{name}_{unit}")]
        if not filled and required:
            self.fault(
                f"{name}_{units[0]}",
                "missing",
                _(
                    "The %(name)s is missing; write it in %(name)s_%(unit)s or in "
                    "%(name)s_%(other)s",
                    name=name,
                    unit=units[0],
                    other=units[1],
                ),
            )
        if len(filled) > 1:
            self.fault(
                f"{name}_{units[1]}",
                "twice",
                _("%(name)s stands there in two units; keep one of them", name=name),
            )
        if len(filled) != 1:
            return None
        column = f"{name}_{filled[0]}"
        text, scale = self.text(column), UNITS[filled[0]]
        value = float(text.replace(",", ".")) * scale if _NUMBER.fullmatch(text) else 0.0
        if not SHORTEST_M <= value <= LONGEST_M:
            low, high = SHORTEST_M / scale, LONGEST_M / scale
            self.fault(
                column,
                "not-a-length",
                _(
                    "%(words)s will not do; write a number from %(low)s to %(high)s",
                    words=show_value(text),
                    low=figure(low, ".1f"),
                    high=figure(high, ".0f"),
                ),
            )
            return None
        return value


def _read_row(row: _Row) -> GameFormat:
    length = row.length("length", ("m", "yd"), required=True)
    width = row.length("width", ("m", "yd"), required=True)
    age_from, age_to = row.whole("age_from"), row.whole("age_to")
    if age_from is not None and age_to is not None and age_to < age_from:
        row.fault(
            "age_to",
            "before",
            _(
                "%(age_to)s is younger than age_from, %(age_from)s; swap them",
                age_to=age_to,
                age_from=age_from,
            ),
        )
    goal_width = row.length("goal_width", ("m", "ft"))
    longest = max(length or LONGEST_M, width or LONGEST_M)
    if goal_width is not None and goal_width > longest:
        column = "goal_width_ft" if row.text("goal_width_ft") else "goal_width_m"
        row.fault(column, "too-large", _("The goal is wider than the pitch is long; correct one"))
    standing = row.text("standing", STANDINGS[0])
    if standing not in STANDINGS:
        row.fault(
            "standing",
            "unknown",
            _(
                "%(standing)s is not known; write %(standings)s, or nothing",
                standing=show_value(standing),
                standings=list_words(STANDINGS),
            ),
        )
    return GameFormat(
        code=_read_code(row),
        sport=row.text("sport", "football").lower(),
        body=row.text("body", "our club"),
        age_from=age_from,
        age_to=age_to,
        players_a_side=row.whole("players_a_side", required=True) or 1,
        length_m=length or SHORTEST_M,
        width_m=width or SHORTEST_M,
        run_off_m=row.length("run_off", ("m", "yd")),
        goal_width_m=goal_width,
        goal_height_m=row.length("goal_height", ("m", "ft")),
        standing=standing,
        source=row.text("source", OWN),
        note=row.text("note"),
    )


def _read_code(row: _Row) -> str:
    """Read the short name by which a squad's least ground names the format."""
    code = row.text("code").lower()
    if not code:
        row.fault("code", "missing", _("The code is missing; write a short name, like 6v6-evening"))
        return f"row {row.number}"
    if not _CODE.fullmatch(code) or code in SHARES or SQUARE_METRES.match(code):
        row.fault(
            "code",
            "not-a-code",
            _(
                "%(code)s will not do; write up to 30 letters, digits, points and hyphens, "
                "and none of the words %(shares)s",
                code=show_value(code),
                shares=list_words(SHARES),
            ),
        )
    return code


def _read_header(row: int, cells: list[str], faults: Faults) -> list[str]:
    header = read_header(row, cells, faults, COLUMNS)
    needed = (("code",), ("players_a_side",), ("length_m", "length_yd"), ("width_m", "width_yd"))
    for choice in needed:
        if not set(choice) & set(header):
            faults.add(
                f"row {row}",
                "missing-column",
                _("The column %(choice)s is missing; add it", choice=list_words(choice)),
            )
    return header
