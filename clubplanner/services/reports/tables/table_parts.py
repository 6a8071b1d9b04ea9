"""What several of a report's tables have in common."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

from clubplanner.language import _, date_in_words, marked
from clubplanner.outputs.tables.table import Kind
from clubplanner.services.reports.tables.report_sums import Sum
from clubplanner.services.reports.tables.report_table import Column, Line

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterable
    from datetime import date

    from clubplanner.services.reports.sums.report_values import Place

_Part = TypeVar("_Part")
_Sum = TypeVar("_Sum", bound=Sum)


def sums_by(
    parts: Iterable[_Part], key: Callable[[_Part], Hashable], value: Callable[[_Part], _Sum]
) -> dict[Any, _Sum]:
    """Add up the values of some parts by a key, in the order in which keys are met."""
    found: dict[Any, _Sum] = {}
    for part in parts:
        one = key(part)
        known = found.get(one)
        found[one] = value(part) if known is None else known + value(part)
    return found


def text_column(key: str, words: str) -> Column:
    """Return a column of names."""
    return Column(key, words, Kind.TEXT)


def pitch_columns() -> tuple[Column, ...]:
    """Return the columns that name a pitch."""
    return text_column("pitch", _("Pitch")), text_column("venue", _("Venue"))


def pitch_lines(places: dict[Any, _Sum]) -> list[Line[_Sum]]:
    """Return a line for each pitch, with its sum."""
    found: dict[Place, _Sum] = places
    return [Line((place.pitch, place.venue), value) for place, value in found.items()]


def month_name(month: date) -> str:
    """Write a month: "November 2026"."""
    return date_in_words(month, marked("MMMM y"))
