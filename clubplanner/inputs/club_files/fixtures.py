"""Reading fixtures from a CSV file, a row a match at home."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.inputs.club_files.faults import Faults, list_words, show_value
from clubplanner.inputs.club_files.rows import Row, read_rows
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import date

    from clubplanner.domain.problems import Problem

COLUMNS = (
    "date",
    "kick-off",
    "squad",
    "opponent",
    "format",
    "minutes",
    "warm-up",
    "changeover",
    "pitch",
    "officials",
    "opponents",
    "note",
)
REQUIRED = ("date", "kick-off", "squad", "opponent")


@dataclass(frozen=True, slots=True)
class FixtureLine:
    """A fixture as it stands in a file; what is left out is None or blank.

    Attributes:
        row: The row of the file.
        squad: Key or name of the squad.
        minutes: Kick-off to the end, half-time included.

    The other fields are those of `clubplanner.domain.booked.fixtures.Fixture`.
    """

    row: int
    squad: str
    day: date
    kick_off_from: int
    kick_off_to: int
    opponent: str
    format_code: str
    minutes: int | None
    warm_up_minutes: int | None
    after_minutes: int | None
    pitch_name: str
    officials: str
    opponents: str
    note: str


@dataclass(frozen=True, slots=True)
class FixturesRead:
    """What a fixtures file gave: complete only when there is no problem."""

    lines: tuple[FixtureLine, ...]
    problems: tuple[Problem, ...]


def is_fixture_table(text: str) -> bool:
    """Tell by its first row whether a table is one of fixtures."""
    first = text.lstrip().partition("\n")[0].lower()
    return all(column in first for column in ("kick-off", "opponent"))


def read_fixtures(text: str, file_name: str, format_codes: Collection[str]) -> FixturesRead:
    """Read a fixtures file; every fault in it is reported at once.

    Args:
        text: The whole file.
        file_name: How to call it in problems.
        format_codes: Forms of the game that may be named.
    """
    faults = Faults(file_name)
    rows = read_rows(text, faults, COLUMNS, REQUIRED)
    lines = [line for row in rows if (line := _read_line(row, format_codes)) is not None]
    if not rows and not faults.found:
        faults.add("", "empty", _("No fixture follows the header; write one match a row"))
    return FixturesRead(tuple(lines), tuple(faults.found))


def _read_line(row: Row, format_codes: Collection[str]) -> FixtureLine | None:
    squad, opponent = row.text("squad", 80), row.text("opponent", 80)
    for column, text in (("squad", squad), ("opponent", opponent)):
        if not text:
            row.fault(
                column, "missing", _("The %(column)s is missing; write its name", column=column)
            )
    code = row.text("format")
    if code and code not in format_codes:
        row.fault(
            "format",
            "unknown",
            _(
                "%(code)s is not a known form of the game; write %(format_codes)s, or leave "
                "it blank",
                code=show_value(code),
                format_codes=list_words(sorted(format_codes)),
            ),
        )
    start, end = row.span("kick-off")
    line = FixtureLine(
        row=row.number,
        squad=squad,
        day=row.day("date"),
        kick_off_from=start,
        kick_off_to=end,
        opponent=opponent,
        format_code=code,
        minutes=row.whole("minutes", 5, 300, None),
        warm_up_minutes=row.whole("warm-up", 0, 120, None),
        after_minutes=row.whole("changeover", 0, 120, None),
        pitch_name=row.text("pitch", 80),
        officials=row.text("officials"),
        opponents=row.text("opponents"),
        note=row.text("note"),
    )
    return None if row.faulty else line
