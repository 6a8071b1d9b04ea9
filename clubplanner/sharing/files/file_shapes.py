"""The shapes of a share-out's files, drawn from its dataclasses and a table of ranges.

A field that a dataclass gains is in the files at once, with the widest range of its type until the
table says more.
"""

from __future__ import annotations

import re
from dataclasses import fields, is_dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction
from types import NoneType, UnionType
from typing import TYPE_CHECKING, Any, Union, get_args, get_origin, get_type_hints

from clubplanner.sharing.files.json_groups import (
    CellSet,
    ListOf,
    Maybe,
    Record,
    SetOf,
    needed_fields,
    usual_values,
)
from clubplanner.sharing.files.json_shapes import (
    Choice,
    DateText,
    Flag,
    FractionText,
    Number,
    Release,
    Text,
    Whole,
)
from clubplanner.sharing.values.facts import DayName, Facts, Holder, RuleSaid
from clubplanner.sharing.values.outcome import EARLIER_SHAPE, SHAPE
from clubplanner.sharing.values.validating import (
    MOST_CELLS,
    MOST_DATES,
    MOST_IN_A_ROW,
    MOST_PAST,
    MOST_PRICE,
    MOST_PRIORITY,
    MOST_REST_DAYS,
    MOST_WEAR_PERCENT,
    MOST_WISHES,
)
from clubplanner.sharing.values.wants import HIGHEST_GRADE, LOWEST_GRADE

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clubplanner.sharing.files.json_shapes import Shape

LAST_MINUTE = 2 * 24 * 60
"""Minutes count on past midnight, at most to the end of the next day."""
MOST_ITEMS = 20_000
"""Entries of a list without a limit of its own."""
MOST_VALUE = 10**12
"""Values of aims and other numbers without a range of their own."""

_MINUTE = Whole(0, LAST_MINUTE)
_DAY = Whole(0, 999)
_KEY = Text(1)
_WEEKDAYS = SetOf(Whole(0, 6), 7)

_BY_NAME: Mapping[str, Shape] = {
    "key": _KEY,
    "ask": _KEY,
    "squad": _KEY,
    "ground": _KEY,
    "pitch": _KEY,
    "venue": _KEY,
    "coach": Maybe(_KEY),
    "text": Text(0, 10_000),
    "cells": CellSet(MOST_CELLS),
    "day": _DAY,
    "index": _DAY,
    "weekday": Whole(0, 6),
    "start_min": _MINUTE,
    "end_min": Whole(1, LAST_MINUTE),
    "from_min": _MINUTE,
    "session": Whole(0, 99),
    "missing": Whole(1, 99),
    "dates": ListOf(DateText(), MOST_DATES),
    "lost_dates": ListOf(DateText(), MOST_DATES),
    "share": Maybe(Whole(1, 12)),
    "area_m2": Number(0, 10**7, is_open_below=True),
    "share_of_pitch": Number(0, 1.001, is_open_below=True),
    "sessions": Whole(1, 99),
    "minutes": Whole(1, 24 * 60),
    "least_m2": Number(0, 10**7),
    "least_share": Number(0, 1),
    "priority": Whole(1, MOST_PRIORITY),
    "step_minutes": Whole(1, 24 * 60),
    "changeover_minutes": Whole(0, 24 * 60),
    "travel_minutes": Whole(0, 24 * 60),
    "latest_finish_min": Maybe(_MINUTE),
    "earliest_start_min": Maybe(_MINUTE),
    "dawn_min": Maybe(_MINUTE),
    "rest_days": Whole(0, MOST_REST_DAYS),
    "most_in_a_row": Maybe(Whole(1, MOST_IN_A_ROW)),
    "no_day_before": _WEEKDAYS,
    "no_day_after": _WEEKDAYS,
    "wear_percent": Whole(0, MOST_WEAR_PERCENT),
    "past": Whole(-MOST_PAST, MOST_PAST),
    "grade": Whole(LOWEST_GRADE, HIGHEST_GRADE),
    "other": _KEY,
    "most_minutes": Maybe(Whole(0, 7 * 24 * 60)),
    "most_sessions": Maybe(Whole(0, 9_999)),
    "shape": Release(EARLIER_SHAPE, SHAPE),
    "per_hour": Whole(0, MOST_PRICE),
    "per_opening": Whole(0, MOST_PRICE),
}
"""Ranges of fields, which mean the same in every class; a field of the same name that is a record
or may be null is left to its type."""
_BY_TYPE: Mapping[type, Shape] = {
    bool: Flag(),
    int: Whole(-MOST_VALUE, MOST_VALUE),
    float: Number(-MOST_VALUE, MOST_VALUE),
    str: Text(),
    date: DateText(),
    Fraction: FractionText(),
}
_RECORDS: dict[type[Any], Record] = {}
"""Those drawn so far; drawing one twice gives the same."""
_SPARSE = (Facts, DayName, Holder, RuleSaid)
"""Records that are written without what is as usual: most of them have a few members each."""
_LENGTHS = {"days": 1_000, "standing": 200_000, "wishes": MOST_WISHES}

_ATTRIBUTE = re.compile(r"^    (\w+): (.*(?:\n {8,}.*)*)", re.MULTILINE)


def record_of(kind: type[Any]) -> Record:
    """Return the shape of a dataclass."""
    known = _RECORDS.get(kind)
    if known is None:
        hints = get_type_hints(kind)
        members = {item.name: _shape(item.name, hints[item.name]) for item in fields(kind)}
        known = _RECORDS[kind] = Record(
            kind,
            members,
            _words(kind),
            needed_fields(kind),
            usual_values(kind),
            kind in _SPARSE,
        )
    return known


def _shape(name: str, hint: Any) -> Shape:
    arguments = get_args(hint)
    is_optional = get_origin(hint) in (Union, UnionType)
    if is_dataclass(hint) and isinstance(hint, type):
        return record_of(hint)
    if name in _BY_NAME and is_optional == isinstance(_BY_NAME[name], Maybe):
        return _BY_NAME[name]
    if is_optional:
        return Maybe(_shape(name, next(part for part in arguments if part is not NoneType)))
    if get_origin(hint) is tuple:
        return ListOf(_shape("", arguments[0]), _LENGTHS.get(name, MOST_ITEMS))
    if get_origin(hint) is frozenset:
        name = "day" if arguments[0] is int else "key"
        return SetOf(_shape(name, arguments[0]), MOST_ITEMS)
    if issubclass(hint, StrEnum):
        return Choice(hint)
    return _BY_TYPE[hint]


def _words(kind: type[Any]) -> dict[str, str]:
    """Read what a dataclass's docstring says about its fields."""
    _, _, listed = (kind.__doc__ or "").partition("Attributes:\n")
    text = "\n".join(line[4:] for line in listed.splitlines())
    return {name: " ".join(words.split()) for name, words in _ATTRIBUTE.findall(text)}
