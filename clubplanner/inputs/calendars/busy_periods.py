"""Busy times that a foreign calendar gives as such, without the events behind them (VFREEBUSY)."""

from __future__ import annotations

from datetime import UTC, timedelta
from typing import TYPE_CHECKING

from clubplanner.inputs.calendars.busy_events import TITLE_LIMIT, times_in
from clubplanner.inputs.calendars.busy_series import Span
from clubplanner.inputs.calendars.calendar_lines import Line, LineError, WallTime
from clubplanner.inputs.calendars.calendar_zones import ZoneClock
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from clubplanner.inputs.calendars.calendar_lines import Component
    from clubplanner.inputs.calendars.calendar_zones import WallClock
    from clubplanner.inputs.calendars.recurrence import Budget

_FREE = "FREE"


def read_periods(
    component: Component,
    clock_of: Callable[[str], WallClock],
    budget: Budget,
    fault: Callable[[str], None],
) -> Iterator[Span]:
    """Yield the times that a VFREEBUSY says are taken (RFC 5545, sections 3.6.4 and 3.8.2.6).

    Everything but FBTYPE=FREE takes its time: BUSY, BUSY-UNAVAILABLE, kinds that we do not know
    (section 3.2.9), and BUSY-TENTATIVE, as a tentative event does: who may come needs the ground.

    Args:
        component: The VFREEBUSY.
        clock_of: Gives the clock of a zone's name; blank is the venue's own. Times should be UTC.
        budget: Work allowed.
        fault: Gets what could not be read, in words; it costs its own period only.

    Raises:
        BudgetError: If the work is used up.
    """
    for words in component.faults:
        fault(words)
    for line in component.every("FREEBUSY"):
        if line.parameters.get("FBTYPE", "").strip().upper() == _FREE:
            continue
        for value in line.value.split(","):
            budget.spend(1)
            try:
                span = _span(Line(line.name, line.parameters, value), clock_of)
            except LineError as error:
                fault(str(error))
            except OverflowError:
                fault(_("Its times are out of reach, and it is left out"))
            else:
                yield span


def _span(line: Line, clock_of: Callable[[str], WallClock]) -> Span:
    ((start, end),) = times_in((line,))
    if end is None or start.is_date:
        raise LineError(
            _(
                "“%(value)s” is no busy time such as 20260908T173000Z/PT1H30M",
                value=line.value[:TITLE_LIMIT],
            )
        )
    clock = ZoneClock(UTC) if start.is_utc else clock_of(start.tzid)
    starts_at = clock.instant(start.wall)
    if isinstance(end, WallTime):
        ends_at = (ZoneClock(UTC) if end.is_utc else clock_of(end.tzid)).instant(end.wall)
    else:
        ends_at = clock.instant(start.wall + timedelta(days=end.days))
        ends_at += timedelta(seconds=end.seconds)
    if ends_at < starts_at:
        raise LineError(_("It ends before it starts"))
    return Span(starts_at, ends_at, "")
