"""Times of day on the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from clubplanner.domain.times.times import MINUTES_A_DAY, minute_from_clock

if TYPE_CHECKING:
    from typing import Any


class Clock(click.ParamType):  # type: ignore[type-arg]  # older versions are not generic
    """A time of day, given in minutes after midnight; "24:00" is the end of the day."""

    name = "time"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Read "17:30", or say what to write."""
        if isinstance(value, int):
            return value
        if value == "24:00":
            return MINUTES_A_DAY
        try:
            return minute_from_clock(str(value))
        except ValueError:
            self.fail(f"“{value}” is not a time of day; write it like 17:30", param, ctx)


CLOCK = Clock()
