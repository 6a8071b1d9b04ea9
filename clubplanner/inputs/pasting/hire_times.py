"""When a hire is, put together from what a table parts: a date or a weekday, from and to.

A date is one hire; a weekday with a first and a last date is a series. What is put together has the
words of this room: first and last as year-month-day, days as "Mon, Wed", times as "18:00-19:30"
(past midnight the end is before the start), every as `EVERY`, and the dates of a series that are
left out as "2026-12-23; 2026-12-30".
"""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING

from clubplanner.domain.searching import plain_phrase
from clubplanner.domain.times.times import day_in_words
from clubplanner.domain.times.windows import parse_days
from clubplanner.inputs.club_files.spoken_cells import EVERY
from clubplanner.inputs.pasting.clocks import DASH, read_clock
from clubplanner.inputs.pasting.dates import read_date
from clubplanner.inputs.pasting.kinds import DAYS, FROM, TIMES, UNTIL
from clubplanner.inputs.pasting.reading import Reading
from clubplanner.inputs.pasting.weekdays import read_spans
from clubplanner.inputs.reading.faults import show_value
from clubplanner.language import _, weekday_in_words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clubplanner.domain.times.day_words import Order

WEEKLY, SECOND, ONCE = EVERY
_EVERY = {
    WEEKLY: "weekly, every week, each week, wöchentlich, jede woche, 1, 7 tage, woche, week, "
    "regelmäßig, 1 wöchig, wöchig",
    SECOND: "every second week, every 2 weeks, every two weeks, every other week, fortnightly, "
    "biweekly, bi weekly, 2, 14, 14 tägig, 14tägig, vierzehntägig, zweiwöchentlich, "
    "2 wöchentlich, zweiwöchig, alle 2 wochen, alle zwei wochen, alle 14 tage, jede zweite woche, "
    "14 tägl, 2 weeks, 14 days",
    ONCE: "once, one off, einmalig, einmal, single, einzeltermin, 0, nein, no",
}
_WORDS = {plain_phrase(one): every for every, words in _EVERY.items() for one in words.split(", ")}
SEVERAL = "; "
_APART = re.compile(r"[;\n]|,\s*(?=\d)|\s*\+\s*")
_TO = re.compile(r"\s+(?:-|bis|to|till?|until)\s+|\s*[–—]\s*", re.IGNORECASE)


def read_every(text: str) -> Reading:
    """Read how often: weekly, every second week, or once."""
    found = _WORDS.get(plain_phrase(text))
    if found:
        return Reading(found)
    fault = _(
        "%(words)s is not understood; a series is weekly or every second week",
        words=show_value(text),
    )
    return Reading(faults=(fault,), choices=EVERY)


def read_dates(text: str, order: Order, today: date) -> Reading:
    """Read a date, or a first and a last one as "2026-09-01/2026-12-15"."""
    one = read_date(text, order, today)
    parts = _TO.split(text)
    if not one.faults or len(parts) != 2:
        return one
    first, last = (read_date(part, order, today) for part in parts)
    if first.faults or last.faults:
        return first if first.faults else last
    return Reading(f"{first.text}/{last.text}")


def read_each_date(text: str, order: Order, today: date) -> Reading:
    """Read several dates, parted by semicolons, commas or line breaks."""
    readings = [read_date(part, order, today) for part in _APART.split(text) if part.strip()]
    for reading in readings:
        if reading.faults:
            return Reading(faults=reading.faults)  # what is chosen instead would be the whole cell
    return Reading(SEVERAL.join(reading.text for reading in readings))


def read_times(text: str) -> Reading:
    """Read from when to when; past midnight the end comes before the start."""
    reading = read_spans(text)
    if not reading.faults:
        if ";" not in reading.text:
            return reading
        fault = _(
            "%(words)s are several times; keep one, and write the others as rows of their own",
            words=show_value(text),
        )
        return Reading(faults=(fault,))
    parts = re.split(DASH, text, flags=re.IGNORECASE)
    if len(parts) == 2:
        start, end = (read_clock(part.strip()) for part in parts)
        if not (start.faults or end.faults) and start.text != end.text:
            return Reading(f"{start.text}-{end.text}")
    return reading


def finish_hire(
    typed: Mapping[str, str], cells: dict[str, str], unclear: dict[str, Reading]
) -> None:
    """Put together what a table parts, and ask for what a hire needs.

    Args:
        typed: What the row says, by column.
        cells: What is understood of it; completed here.
        unclear: What is not; added to here.
    """
    first, _slash, last = cells.pop("date", "").partition("/")
    if first:
        cells["first"], cells["last"] = first, last or first
    if not cells.get("first") and not unclear.keys() & {"first", "date"}:
        fault = _("Write the date, or the first and the last one of a series")
        unclear["first"] = Reading(faults=(fault,))
    _finish_series(cells, unclear)
    _finish_times(typed, cells, unclear)
    for column, fault in (
        ("hirer", _("Write who takes the ground")),
        ("pitch", _("Write which pitch")),
    ):
        if not cells.get(column) and column not in unclear:
            unclear[column] = Reading(faults=(fault,))


def _finish_series(cells: dict[str, str], unclear: dict[str, Reading]) -> None:
    first, last, days = (cells.get(c, "") for c in ("first", "last", DAYS))
    if not first or unclear.keys() & {"first", "last", "date", DAYS}:
        return
    is_once = cells.get("every") == ONCE
    if not last and days and not is_once:
        fault = _("Write until when the series is")
        unclear["last"] = Reading(faults=(fault,))
        return
    cells["last"] = last = first if is_once or not last else last
    if last < first:
        fault = _("The last date must not lie before the first")
        unclear["last"] = Reading(faults=(fault,))
    day = date.fromisoformat(first)
    if first == last and days and day.weekday() not in parse_days(days):
        fault = _(
            "%(day)s is no %(weekday)s; correct one of them",
            day=day_in_words(day),
            weekday=weekday_in_words(parse_days(days)[0]),
        )
        unclear["first"] = Reading(faults=(fault,))


def _finish_times(
    typed: Mapping[str, str], cells: dict[str, str], unclear: dict[str, Reading]
) -> None:
    start, end = cells.pop(FROM, ""), cells.pop(UNTIL, "")
    if TIMES in typed or unclear.keys() & {TIMES, FROM, UNTIL}:
        return
    if start and end and start != end:
        cells[TIMES] = f"{start}-{end}"
    elif start and "-" in start:
        cells[TIMES] = start
    else:
        column = UNTIL if start else TIMES
        unclear[column] = Reading(faults=(_("Write from when to when"),))
