"""Which column is what where its heading does not say: by what its cells look like."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.domain.times.day_words import Order
from clubplanner.inputs.pasting.clocks import read_clocks
from clubplanner.inputs.pasting.dates import read_date
from clubplanner.inputs.pasting.kinds import (
    DAYS,
    FROM,
    HIRES,
    LEFT_OUT,
    MATCHES,
    TIMES,
    UNTIL,
    Kind,
)
from clubplanner.inputs.pasting.weekdays import days_of, read_days, read_spans, read_windows

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from datetime import date

LOOKED_AT = 40
"""Cells of a column by which it is told."""
MOST = 0.8
"""Part of the cells that have to look alike."""
_EMAIL = re.compile(r"[^@\s]+@[^@\s]+\.[^@\s]+")
_PHONE = re.compile(r"(?:\+|0)[\d\s/()-]{6,}")
_AGE = re.compile(r"[uU]\s?\d{1,2}\w?")


def guess_columns(
    columns: Sequence[str],
    rows: Sequence[Sequence[str]],
    kind: Kind,
    today: date,
    kept_out: frozenset[int] = frozenset(),
) -> tuple[str, ...]:
    """Return the columns of a table, those that are not known yet by their cells.

    Args:
        columns: What is known of each; blank where nothing is.
        rows: Those below the headings.
        kind: What the table is about.
        today: For dates without a year.
        kept_out: Columns, counted from 0, that the club has left out before.
    """
    found = list(columns)
    if kind.key == HIRES:
        _part_dates_from_times(found, rows, today)
    for place, column in enumerate(found):
        if column != LEFT_OUT or place in kept_out:
            continue
        cells = _cells(rows, place)[:LOOKED_AT]
        for guess, looks_so in _looks(kind, today):
            if guess not in found and _mostly(cells, looks_so):
                found[place] = guess
                break
    if kind.key != MATCHES and kind.named_by not in found:
        _guess_name(found, rows, kind, kept_out)
    return tuple(found)


def _cells(rows: Sequence[Sequence[str]], place: int) -> list[str]:
    return [row[place] for row in rows if place < len(row) and row[place]]


def _part_dates_from_times(found: list[str], rows: Sequence[Sequence[str]], today: date) -> None:
    """Take "from" and "to" for dates where dates stand below them: German has one word for both."""
    for place, column in enumerate(found):
        other = {FROM: "first", UNTIL: "last"}.get(column, "")
        cells = _cells(rows, place)[:LOOKED_AT]
        if other and other not in found and _mostly(cells, _is_date(today)):
            found[place] = other


def _guess_name(
    found: list[str], rows: Sequence[Sequence[str]], kind: Kind, kept_out: frozenset[int]
) -> None:
    """Take the first column of words of its own in most rows for the squad's name."""
    for place, column in enumerate(found):
        cells = _cells(rows, place)
        is_words = sum(any(c.isalpha() for c in cell) for cell in cells) > MOST * len(cells)
        if column in (LEFT_OUT, "age group") and place not in kept_out and cells and is_words:
            found[place] = kind.named_by
            return


def _looks(kind: Kind, today: date) -> Iterator[tuple[str, Callable[[str], bool]]]:
    if kind.key == MATCHES:
        yield "date", _is_date(today)
        yield "kick-off", lambda text: ":" in text and not read_clocks(text).faults
        return
    if kind.key == HIRES:
        yield from _looks_of_hires(today)
        return
    yield "coach e-mail", lambda text: bool(_EMAIL.fullmatch(text))
    yield "coach phone", lambda text: bool(_PHONE.fullmatch(text))
    yield "age group", lambda text: bool(_AGE.fullmatch(text))
    yield "possible", lambda text: bool(days_of(text)) and _has_clock(text)
    yield "days", lambda text: not read_days(text).faults
    yield "times", lambda text: not read_spans(text).faults and _has_clock(text)


def _looks_of_hires(today: date) -> Iterator[tuple[str, Callable[[str], bool]]]:
    yield "phone", lambda text: bool(_PHONE.fullmatch(text))
    yield "date", _is_date(today)
    yield "last", _is_date(today)
    yield DAYS, lambda text: not read_days(text).faults
    yield TIMES, lambda text: not read_spans(text).faults and _has_clock(text)
    yield FROM, _is_clock
    yield UNTIL, _is_clock


def _is_clock(text: str) -> bool:
    return ":" in text and not read_clocks(text).faults


def _is_date(today: date) -> Callable[[str], bool]:
    def looks_so(text: str) -> bool:
        return not (text.isdecimal() or read_date(text, Order.DAY, today).faults)

    return looks_so


def _has_clock(text: str) -> bool:
    return any(c.isdigit() for c in text) and not (
        read_windows(text).faults and read_spans(text).faults
    )


def _mostly(cells: Sequence[str], looks_so: Callable[[str], bool]) -> bool:
    return bool(cells) and sum(map(looks_so, cells)) >= MOST * len(cells)
