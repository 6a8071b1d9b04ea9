"""Every reader of what comes from outside, as a function of bytes."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from clubplanner.domain.times.times import TimeRange
from clubplanner.domain.times.windows import parse_windows
from clubplanner.errors import PlannerError
from clubplanner.inputs.calendars.busy import read_busy
from clubplanner.inputs.club_files.fixtures import read_fixtures
from clubplanner.inputs.club_files.settings import read_settings
from clubplanner.inputs.club_files.sizes import read_sizes
from clubplanner.inputs.club_files.squads_file.squads import read_squads
from clubplanner.inputs.ground_files.grounds import read_grounds
from clubplanner.inputs.ground_files.pasted_place import read_place
from clubplanner.inputs.ground_files.plain_outlines import is_plain, read_plain
from clubplanner.inputs.pasting.contents import guess_columns
from clubplanner.inputs.pasting.headings import find_heading_row, headings_of, propose_columns
from clubplanner.inputs.pasting.kinds import KINDS
from clubplanner.inputs.pasting.understanding import ClubWords, LooseTable, Said, understand
from clubplanner.inputs.reading.faults import decode_text
from clubplanner.inputs.reading.sheets import (
    SheetsRead,
    read_carried,
    read_pasted,
    read_sheets,
)
from clubplanner.sharing.files.files import read_outcome, read_problem
from tests.builders import NOW

if TYPE_CHECKING:
    from collections.abc import Callable

TODAY = date(2026, 11, 29)
CODES = ("5v5", "7v7", "9v9", "11v11")
WORDS = ClubWords(CODES, ("grass", "artificial"), TODAY)
DURING = TimeRange(NOW, NOW + timedelta(days=400))
LONDON = ZoneInfo("Europe/London")


def _understand(read: SheetsRead) -> None:
    """Take every sheet for each kind of table, as a page does that asks what it is."""
    for sheet in read.sheets:
        for kind in KINDS.values():
            row = find_heading_row(sheet.rows, kind.key)
            columns = propose_columns(headings_of(sheet.rows, row), kind, {})
            columns = guess_columns(columns, sheet.rows[row:], kind, TODAY)
            understand(LooseTable(sheet.rows, row, columns), kind, Said(), WORDS)


def _read_plain(data: bytes) -> None:
    text = decode_text(data)
    if is_plain(text):
        read_plain(text, "x.kml")


def _parse_windows(data: bytes) -> None:
    try:
        parse_windows(decode_text(data))
    except (ValueError, PlannerError):
        return


READERS: dict[str, tuple[str, Callable[[bytes], object]]] = {
    "settings": (".toml", lambda data: read_settings(decode_text(data), "club.toml")),
    "grounds": (".geojson", lambda data: read_grounds(decode_text(data), "top.geojson")),
    "outlines": ("", _read_plain),
    "squads": (".csv", lambda data: read_squads(decode_text(data), "squads.csv", CODES)),
    "fixtures": (".csv", lambda data: read_fixtures(decode_text(data), "fixtures.csv", CODES)),
    "sizes": (".csv", lambda data: read_sizes(decode_text(data), "sizes.csv")),
    "calendars": (".ics", lambda data: read_busy(data, "theirs.ics", DURING, LONDON)),
    "workbooks": (".xlsx", lambda data: _understand(read_sheets(data, "teams.xlsx"))),
    "tables": (".csv", lambda data: _understand(read_sheets(data, "teams.csv"))),
    "pasted": (".csv", lambda data: _understand(read_pasted(decode_text(data), "pasted"))),
    "carried": (".csv", lambda data: read_carried(decode_text(data))),
    "places": ("", lambda data: read_place(decode_text(data))),
    "windows": (".csv", _parse_windows),
    "problems": ("problem.json", read_problem),
    "results": (".json", read_outcome),
}
"""The end of names of files that are good for it, and the reader."""
