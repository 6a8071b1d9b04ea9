"""Times of day and lengths of time as people write them: "7pm–9pm", "19-21 Uhr", "1,5 h"."""

from __future__ import annotations

import re
from dataclasses import dataclass

from clubplanner.domain.times.times import MINUTES_A_DAY, clock_from_minute
from clubplanner.inputs.pasting.reading import Reading
from clubplanner.inputs.reading.faults import show_value
from clubplanner.language import _

CLOCK = re.compile(
    r"(?P<hour>\d{1,2})(?:\s*[:.h]\s*(?P<minute>\d{2})(?!\d)|(?P<joined>[0-5]\d))?"
    r"(?:\s*(?P<half>[ap])\.?\s?m\b\.?)?(?:\s*(?P<o>h|uhr|o'?clock)\b)?",
    re.IGNORECASE,
)
DASH = r"(?:-|–|—|−|\bbis\b|\bto\b|\btill?\b|\buntil\b)"
_FRACTION = re.compile(r"0?[.,]\d+")
_HOURS = re.compile(r"(\d{1,2}(?:[.,]\d{1,2})?)\s*(?:h|hrs?|std|stunden?|hours?)\b\.?")
_HOURS_MINUTES = re.compile(
    r"(\d{1,2})\s*(?::|h|hrs?|std\.?|stunden?|hours?)\s*(?:und|and)?\s*(\d{1,2})"
    r"\s*(?:'|m|min\w*\.?|h|std\.?)?"
)
_MINUTES = re.compile(r"(\d{1,3})(?:[.,]0+)?\s*(?:'|′|m|min\w*\.?|minut\w*)?")


EARLIEST_HOUR = 8
"""From here on "9 Uhr" is in the morning; "5 Uhr" is asked about: nobody trains at that hour."""


@dataclass(frozen=True, slots=True)
class Clock:
    """A time of day as it was written.

    Attributes:
        minute: After midnight, as far as can be told; 24:00 may be meant by 0 at an end.
        is_plain: Whether it can only be one time: by a marker, by minutes, or by hours past 12.
        half: "a", "p", or blank where neither is written.
    """

    minute: int
    is_plain: bool
    half: str


def clock_of(found: re.Match[str]) -> Clock | None:
    """Return the time that a match of `CLOCK` means; None if there is no such time."""
    hour, half = int(found["hour"]), (found["half"] or "").lower()
    minute = int(found["minute"] or found["joined"] or 0)
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half == "p" else 0)
    if minute > 59 or hour * 60 + minute > MINUTES_A_DAY:
        return None
    is_plain = bool(half or found["minute"] or found["joined"]) or hour > 12
    is_plain = is_plain or (bool(found["o"]) and hour >= EARLIEST_HOUR)
    return Clock(hour * 60 + minute, is_plain, half)


def span_of(first: Clock, last: Clock) -> tuple[tuple[int, int], ...]:
    """Return from when to when two times can mean; several where it is not said, none if none.

    "7-9pm" is in the evening as a whole; "7-9" may be in the morning or in the evening.
    """
    spans = []
    for start in _could_be(first, last):
        for end in _could_be(last, first):
            until = end or MINUTES_A_DAY
            if start < until and (start, until) not in spans:
                spans.append((start, until))
    if first.half or last.half:  # the same half of the day first: "11-1pm" has none
        spans.sort(key=lambda span: span[1] - span[0])
        return tuple(spans[:1])
    if not (first.is_plain or last.is_plain):
        return tuple(s for s in spans if s[1] - s[0] == _shortest(spans))
    return tuple(spans)


def _shortest(spans: list[tuple[int, int]]) -> int:
    return min((end - start for start, end in spans), default=0)


def _could_be(clock: Clock, other: Clock) -> tuple[int, ...]:
    if clock.half or clock.minute >= 13 * 60:
        return (clock.minute,)
    is_open = bool(other.half) or not (clock.is_plain or other.is_plain)
    if is_open and 60 <= clock.minute <= 12 * 60 + 59:
        early = clock.minute % (12 * 60)
        return early, early + 12 * 60
    return (clock.minute,)


def read_clock(text: str) -> Reading:
    """Read one time of day, for a cell that holds nothing else."""
    bare = _bare(text)
    fraction = _day_fraction(bare)
    if fraction is not None:
        return Reading(clock_from_minute(fraction))
    found = CLOCK.fullmatch(bare)
    clock = clock_of(found) if found else None
    if clock is None:
        fault = _("%(words)s is no time of day; write it like 18:30", words=show_value(text))
        return Reading(faults=(fault,))
    if not clock.is_plain and 60 <= clock.minute < 12 * 60:
        both = tuple(clock_from_minute(m) for m in (clock.minute, clock.minute + 12 * 60))
        fault = _("%(words)s can be morning or evening; write which", words=show_value(text))
        return Reading(faults=(fault,), choices=both)
    return Reading(clock_from_minute(clock.minute))


def read_clocks(text: str) -> Reading:
    """Read one time, or a span of two, as "14:00" or "10:00-14:00"."""
    parts = re.split(DASH, _bare(text), flags=re.IGNORECASE)
    if len(parts) != 2:
        return read_clock(text)
    found = [CLOCK.fullmatch(part.strip()) for part in parts]
    first, last = (clock_of(one) if one else None for one in found)
    if first is None or last is None:
        fault = _(
            "%(words)s is no time; write 14:00, or 10:00-14:00 for a span", words=show_value(text)
        )
        return Reading(faults=(fault,))
    spans = [
        f"{clock_from_minute(start)}-{clock_from_minute(end)}"
        for start, end in span_of(first, last)
    ]
    if len(spans) == 1:
        return Reading(spans[0])
    if not spans:
        fault = _("%(words)s runs backwards; turn it round", words=show_value(text))
        return Reading(faults=(fault,))
    fault = _("%(words)s can be morning or evening; write which", words=show_value(text))
    return Reading(faults=(fault,), choices=tuple(spans))


def read_duration(text: str) -> Reading:
    """Read a length of time as minutes: "90", "90 min", "1,5 h", "1:30", or a spreadsheet's 0.0625.

    Numbers below 8 without a unit are hours in no table we can be sure of, so they are asked about.
    """
    bare = _bare(text)
    fraction = _day_fraction(bare)
    if fraction is not None:
        return Reading(str(fraction))
    if found := _HOURS_MINUTES.fullmatch(bare):
        return Reading(str(int(found[1]) * 60 + int(found[2])))
    if found := _HOURS.fullmatch(bare):
        return Reading(str(round(float(found[1].replace(",", ".")) * 60)))
    if found := _MINUTES.fullmatch(bare):
        count = int(found[1])
        if count < 8 and bare == found[1]:
            fault = _("%(words)s can be hours; write the minutes", words=show_value(text))
            return Reading(faults=(fault,), choices=(str(count * 60),))
        return Reading(str(count))
    fault = _(
        "%(words)s is no length of time; write minutes, like 90, or 1:30", words=show_value(text)
    )
    return Reading(faults=(fault,))


def _bare(text: str) -> str:
    return " ".join(text.lower().replace("½", ",5").split())


def _day_fraction(text: str) -> int | None:
    """Return the minutes of a part of a day, as spreadsheets keep times; None for other text."""
    if not _FRACTION.fullmatch(text) or len(text) < 3:
        return None
    minutes = round(float(text.replace(",", ".")) * MINUTES_A_DAY)
    return minutes if minutes < MINUTES_A_DAY else None
