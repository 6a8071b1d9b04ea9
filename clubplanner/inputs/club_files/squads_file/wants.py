"""What a row of the squads file says beyond times and ground: rest, priority, wishes, partners."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.club.squads import AskWish, Partner
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.times.times import minute_from_clock
from clubplanner.domain.times.windows import parse_days, parse_windows
from clubplanner.inputs.reading.faults import list_words, show_value
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.inputs.club_files.squads_file.squad_cells import SquadCells

COLUMNS = (
    "priority",
    "latest finish",
    "rest days",
    "free day before",
    "free day after",
    "evenings in a row",
    "wishes",
    "other squads",
)
MOST_PRIORITY = 9
MOST_REST_DAYS = 30
MOST_IN_A_ROW = 6
"""More is every day, and no rule."""
NO_RULE = 0
MOST_WISHES = 20
PARTNERS = {
    marked("beside"): "share a pitch",
    marked("away from"): "keep apart",
    marked("not during"): "not at one time",
    marked("next to"): "one after the other",
    marked("same evening as"): "same evening",
}
"""How the file says what is wished of two squads."""
_GRADED = re.compile(r"^(.*?)\s*=\s*([1-3])$")
_TIMES = re.compile(r"\d[:.]\d")


@dataclass(frozen=True, slots=True)
class Wants:
    """The values of these columns; see `domain.squads.Ask`."""

    priority: int
    latest_finish_min: int | None
    rest_days: int
    no_day_before: frozenset[int]
    no_day_after: frozenset[int]
    most_in_a_row: int | None
    wishes: tuple[AskWish, ...]
    partners: tuple[Partner, ...]


def read_wants(row: SquadCells) -> Wants:
    """Read the columns of a row; blank ones mean nothing special."""
    return Wants(
        priority=row.whole("priority", 1, MOST_PRIORITY, default=1),
        latest_finish_min=_clock(row, "latest finish"),
        rest_days=row.whole("rest days", 0, MOST_REST_DAYS, default=0),
        no_day_before=_days(row, "free day before"),
        no_day_after=_days(row, "free day after"),
        most_in_a_row=row.whole("evenings in a row", 1, MOST_IN_A_ROW, default=NO_RULE) or None,
        wishes=tuple(_wishes(row)),
        partners=tuple(_partners(row)),
    )


def _clock(row: SquadCells, column: str) -> int | None:
    text = row.text(column)
    try:
        return minute_from_clock(text) if text else None
    except ValueError as fault:
        row.fault(column, "not-a-time", str(fault))
        return None


def _days(row: SquadCells, column: str) -> frozenset[int]:
    text = row.text(column)
    try:
        return frozenset(parse_days(text)) if text else frozenset()
    except ValueError as fault:
        row.fault(column, "not-a-day", str(fault))
        return frozenset()


def _graded(row: SquadCells, column: str) -> Iterator[tuple[str, int]]:
    """Yield the entries between semicolons with their grades, 2 where none is written."""
    entries = [entry.strip() for entry in row.text(column).split(";") if entry.strip()]
    if len(entries) > MOST_WISHES:
        message = _(
            "%(entries)s entries are too many; write at most %(most_wishes)s",
            entries=len(entries),
            most_wishes=MOST_WISHES,
        )
        row.fault(column, "too-many", message)
        return
    for entry in entries:
        match = _GRADED.match(entry)
        if "=" in entry and not match:
            message = _(
                "%(entry)s has no grade 1, 2 or 3 after “=”; write one, like “= 3”",
                entry=show_value(entry),
            )
            row.fault(column, "not-a-grade", message)
        elif match:
            yield match[1], int(match[2])
        else:
            yield entry, 2


def _wishes(row: SquadCells) -> Iterator[AskWish]:
    """Read days with times, days alone, and names of places."""
    for text, grade in _graded(row, "wishes"):
        try:
            if _TIMES.search(text):
                yield AskWish(grade, windows=parse_windows(text))
                continue
        except ValueError as fault:
            row.fault("wishes", "not-a-window", str(fault))
            continue
        try:
            yield AskWish(grade, weekdays=parse_days(text))
        except ValueError:
            yield AskWish(grade, place=" ".join(text.split()))


def _partners(row: SquadCells) -> Iterator[Partner]:
    for text, grade in _graded(row, "other squads"):
        words = " ".join(text.split())
        found = next((how for how in PARTNERS if words.lower().startswith(f"{how} ")), None)
        if found is None:
            message = _(
                "%(words)s does not begin with %(partners)s; write one of them and the other "
                "squad's name",
                words=show_value(text),
                partners=list_words(PARTNERS),
            )
            row.fault("other squads", "not-a-wish", message)
            continue
        yield Partner(PARTNERS[found], key_from_name(words[len(found) :]), grade)
