"""Dates on the command line."""

from __future__ import annotations

from datetime import date, datetime
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


class Moment(click.ParamType):  # type: ignore[type-arg]  # older versions are not generic
    """A date with a time of day, or its midnight, within the years that a club plans for."""

    name = "time"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> datetime:
        """Read the time, without a zone, or say what to write."""
        if isinstance(value, datetime):
            return value
        try:
            moment = datetime.fromisoformat(str(value))
        except ValueError:
            self.fail(f"“{value}” is not a time; write it like 2026-11-24T18:00", param, ctx)
        if moment.tzinfo is not None:
            self.fail("Write the club's own time, without a zone.", param, ctx)
        if not FIRST_YEAR <= moment.year <= LAST_YEAR:
            self.fail(f"Write a time between {FIRST_YEAR} and {LAST_YEAR}.", param, ctx)
        return moment


DAY, MOMENT = Day(), Moment()
