"""Dates on the command line."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from typing import Any

FIRST_YEAR, LAST_YEAR = 2000, 2199


class Day(click.ParamType):  # type: ignore[type-arg]  # older versions are not generic
    """A date written year-month-day, within the years that a club plans for."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """Read the date, or say what to write."""
        if isinstance(value, date):
            return value
        try:
            day = date.fromisoformat(str(value))
        except ValueError:
            self.fail(f"“{value}” is not a date; write it like 2026-11-25", param, ctx)
        if not FIRST_YEAR <= day.year <= LAST_YEAR:
            self.fail(f"Write a date between {FIRST_YEAR} and {LAST_YEAR}.", param, ctx)
        return day


DAY = Day()
