"""When a squad may train, put together from what a table parts: days, times, start and end."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import MINUTES_A_DAY, Window, clock_from_minute
from clubplanner.domain.times.times import minute_from_clock as minute_of
from clubplanner.domain.times.windows import parse_windows, write_windows
from clubplanner.inputs.pasting.clocks import read_clock
from clubplanner.inputs.pasting.kinds import DAYS, FROM, TIMES, UNTIL
from clubplanner.inputs.pasting.reading import Reading
from clubplanner.inputs.pasting.weekdays import ALL_DAY, days_of, read_spans, read_windows
from clubplanner.inputs.reading.faults import show_value
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Mapping

POSSIBLE = "possible"
SOURCES = (POSSIBLE, TIMES, DAYS, FROM, UNTIL)
"""Columns that say when, in the order in which a fault of the whole is told at one of them."""


@dataclass(frozen=True, slots=True)
class Possible:
    """What came of the columns that say when.

    Attributes:
        text: Days and times in the words of our file; blank where nothing is said or something is
            not understood.
        asked: What is not understood, by column.
    """

    text: str
    asked: Mapping[str, Reading]


def put_together(cells: Mapping[str, str], minutes: int | None) -> Possible:
    """Put the possible times of a row together.

    A column may hold more than its heading says: days in the one for times, and the other way
    round. As many times as days belong to each other in order, one time to every day.

    Args:
        cells: What the table has in the columns of `SOURCES`, as typed; blank ones left out.
        minutes: How long a session lasts, where a start has no end; None where that is not known.
    """
    asked: dict[str, Reading] = {}
    windows: set[Window] = set()
    days: list[int] = []
    spans: list[tuple[int, int]] = []
    for column in (POSSIBLE, DAYS, TIMES):
        text = cells.get(column, "")
        if not text:
            continue
        reading = read_windows(text)
        if not reading.faults:
            found = parse_windows(reading.text)
            is_days = all((w.start_min, w.end_min) == ALL_DAY for w in found)
            days += days_of(text) or [w.weekday for w in found] if is_days else []
            windows.update(() if is_days else found)
            continue
        times = read_spans(text)
        if times.faults:
            asked[column] = times if column == TIMES else reading
        else:
            spans += _minutes(times.text)
    _add_start_and_end(cells, minutes, spans, asked)
    if asked:
        return Possible("", asked)
    fault = _join(days, spans, windows)
    if fault:
        at = next(column for column in SOURCES if cells.get(column))
        return Possible("", {at: Reading(faults=(fault,))})
    return Possible(write_windows(tuple(sorted(windows))), {})


def _join(days: list[int], spans: list[tuple[int, int]], windows: set[Window]) -> str:
    """Add days with their times to the windows; say what does not go together."""
    told = ", ".join(f"{clock_from_minute(a)}-{clock_from_minute(b)}" for a, b in spans)
    if spans and not days:
        return _("%(times)s has no day; write on which days", times=show_value(told))
    if len(spans) > 1 and len(days) > 1 and len(spans) != len(days):
        return _(
            "Which of the times %(times)s belongs to which day? Write days and times together, "
            "like Mo 17:30-19:00; We 18:00-19:30",
            times=show_value(told),
        )
    if len(spans) == len(days):
        windows.update(Window(day, *span) for day, span in zip(days, spans, strict=True))
    else:
        windows.update(Window(day, *span) for day in days for span in (spans or [ALL_DAY]))
    return ""


def _add_start_and_end(
    cells: Mapping[str, str],
    minutes: int | None,
    spans: list[tuple[int, int]],
    asked: dict[str, Reading],
) -> None:
    if not cells.get(FROM):
        return
    both = read_spans(cells[FROM])
    if not cells.get(UNTIL) and not both.faults:
        spans += _minutes(both.text)
        return
    start = read_clock(cells[FROM])
    end = read_clock(cells[UNTIL]) if cells.get(UNTIL) else Reading()
    asked |= {c: r for c, r in ((FROM, start), (UNTIL, end)) if r.faults}
    if asked:
        return
    first = minute_of(start.text)
    last = minute_of(end.text) if end.text else first + (minutes or MINUTES_A_DAY)
    last = min(last or MINUTES_A_DAY, MINUTES_A_DAY)
    if last <= first:
        fault = _(
            "%(words)s is not after %(start)s; turn the times round",
            words=show_value(cells.get(UNTIL, "")),
            start=start.text,
        )
        asked[UNTIL if cells.get(UNTIL) else FROM] = Reading(faults=(fault,))
    else:
        spans.append((first, last))


def _minutes(text: str) -> list[tuple[int, int]]:
    pairs = (span.split("-") for span in text.split("; "))
    return [(minute_of(first), minute_of(last)) for first, last in pairs]


def derive_sessions(possible: str) -> tuple[str, str]:
    """Return how many sessions a week and how many minutes a table means that says neither.

    A club that writes "Mon, Wed 17:30-19:00" trains on both days, for as long as that: as many
    sessions as days, as long as the shortest time. Whole days say nothing of minutes.
    """
    windows = parse_windows(possible)
    lengths = [w.end_min - w.start_min for w in windows]
    longest = 360
    minutes = str(min(lengths)) if lengths and min(lengths) <= longest else ""
    return (str(len({w.weekday for w in windows})) if windows else "", minutes)
