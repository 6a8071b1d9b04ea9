"""Reading days and times as people write them: "Mon-Thu 17:30-19:00; Sat 9:00-12:00"."""

from __future__ import annotations

import re
from functools import lru_cache

from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    WEEKDAYS,
    Window,
    clock_from_minute,
    minute_from_clock,
)
from clubplanner.language import _, short_weekday, weekday_in_words

EXAMPLE = "Mon 17:30-19:00; Wed 17:00-20:00"
_DAY_WORD = re.compile(r"[^\W\d_]+")

_OCLOCK = r"\s*(?:uhr)?"
_RANGE = re.compile(
    rf"(\d{{1,2}}[:.]\d{{2}}){_OCLOCK}\s*[-–]\s*(\d{{1,2}}[:.]\d{{2}}){_OCLOCK}\s*$", re.IGNORECASE
)
"""From one time to another, as Germans write it, too: "17.30-19.00 Uhr"."""


def parse_windows(text: str) -> tuple[Window, ...]:
    """Read days with times, the days in English or in the language spoken now.

    Groups stand apart by semicolons. A group is one day, days apart by commas, or a span of days,
    then a time from–to; without a time the whole day is meant.

    Args:
        text: For example "Mon, Wed 17:30-19:00; Sat-Sun". Blank gives no windows.

    Returns:
        The windows in order of day and time.

    Raises:
        ValueError: With a message that says what to write.
    """
    windows: set[Window] = set()
    for group in text.split(";"):
        if group.strip():
            windows.update(_parse_group(group.strip()))
    return tuple(sorted(windows))


@lru_cache(maxsize=10_000)
def join_windows(windows: tuple[Window, ...]) -> tuple[Window, ...]:
    """Join windows that touch or overlap: who may come until six and from six may stay on.

    Returns:
        Windows with the same minutes, in order, none of which touch.
    """
    joined: list[Window] = []
    for window in sorted(windows):
        last = joined[-1] if joined else None
        if last and last.weekday == window.weekday and window.start_min <= last.end_min:
            end = max(last.end_min, window.end_min)
            joined[-1] = Window(last.weekday, last.start_min, end)
        else:
            joined.append(window)
    return tuple(joined)


def write_windows(windows: tuple[Window, ...]) -> str:
    """Write windows, days with equal times together, so that `parse_windows` reads them back."""
    days_of: dict[tuple[int, int], list[int]] = {}
    for window in windows:
        days_of.setdefault((window.start_min, window.end_min), []).append(window.weekday)
    return "; ".join(
        f"{write_days(sorted(days))} {clock_from_minute(start)}-{clock_from_minute(end)}"
        for (start, end), days in days_of.items()
    )


def told_days(text: str) -> str:
    """Put the weekdays of written windows into the language spoken now: "Mo 17:30-19:00"."""
    names = {name[:3].lower(): short_weekday(n) for n, name in enumerate(WEEKDAYS)}
    return _DAY_WORD.sub(lambda found: names.get(found[0].lower(), found[0]), text)


def file_days(text: str) -> str:
    """Put weekdays that were typed in the language spoken now into those of the files."""
    names = {short_weekday(n).lower(): name[:3] for n, name in enumerate(WEEKDAYS)}
    names |= {weekday_in_words(n).lower(): name[:3] for n, name in enumerate(WEEKDAYS)}
    return _DAY_WORD.sub(lambda found: names.get(found[0].lower(), found[0]), text)


def write_days(days: list[int]) -> str:
    """Write weekdays, three or more in a row as a span: "Mon-Wed, Fri"."""
    runs: list[list[int]] = []
    for day in days:
        if runs and day == runs[-1][-1] + 1:
            runs[-1].append(day)
        else:
            runs.append([day])
    names = [name[:3] for name in WEEKDAYS]
    return ", ".join(
        f"{names[run[0]]}-{names[run[-1]]}" if len(run) > 2 else ", ".join(names[d] for d in run)
        for run in runs
    )


def parse_days(text: str) -> tuple[int, ...]:
    """Read "Mon-Wed, Fri" as weekday numbers, Monday 0.

    Raises:
        ValueError: With a message that says what to write.
    """
    days: list[int] = []
    for part in text.split(","):
        first, _unused, last = part.strip().replace("–", "-").partition("-")
        start = _weekday(first)
        end = _weekday(last) if last else start
        days.extend((start + step) % 7 for step in range((end - start) % 7 + 1))
    return tuple(sorted(set(days)))


def _parse_group(group: str) -> list[Window]:
    match = _RANGE.search(group)
    start, end = 0, MINUTES_A_DAY
    if match:
        start, end = minute_from_clock(match[1]), minute_from_clock(match[2])
        if end <= start:
            raise ValueError(
                _(
                    "“%(group)s” ends before it starts; write it like %(example)s",
                    group=told_days(group),
                    example=told_days(EXAMPLE),
                )
            )
    elif any(character.isdigit() for character in group):
        raise ValueError(
            _(
                "“%(group)s” has no time that can be read; write it like %(example)s",
                group=told_days(group),
                example=told_days(EXAMPLE),
            )
        )
    days = group[: match.start()] if match else group
    return [Window(day, start, end) for day in parse_days(days)]


def _weekday(text: str) -> int:
    word = file_days(text).strip().lower()  # the message names days as they are spoken
    matches = [n for n, name in enumerate(WEEKDAYS) if name.lower().startswith(word)]
    if len(word) < 2 or len(matches) != 1:
        raise ValueError(
            _(
                "“%(words)s” is not a weekday; write %(days)s",
                words=text.strip(),
                days=", ".join(short_weekday(n) for n in range(6)) + _(" or ") + short_weekday(6),
            )
        )
    return matches[0]
