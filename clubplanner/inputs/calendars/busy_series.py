"""The times that an event of a foreign calendar takes, with its recurrences and changed dates."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from clubplanner.inputs.calendars.busy_events import Event, times_in
from clubplanner.inputs.calendars.calendar_lines import LineError, Nominal, WallTime, read_time
from clubplanner.inputs.calendars.calendar_zones import ZoneClock
from clubplanner.inputs.calendars.recurrence import expand
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from clubplanner.inputs.calendars.calendar_zones import WallClock
    from clubplanner.inputs.calendars.recurrence import Budget
    from clubplanner.inputs.calendars.recurrence_rules import Rule

_LONGEST = timedelta(days=3660)
"""How far before a stretch an event that reaches into it is looked for."""
_MARGIN = timedelta(days=2)
_SPAN_WORK = 5
"""What a span costs beside a day that is looked at (measured)."""


@dataclass(frozen=True, slots=True)
class Span:
    """Time that an event takes, as instants in UTC."""

    starts_at: datetime
    ends_at: datetime
    title: str


@dataclass(frozen=True, slots=True)
class _Onward:
    """A change that holds for all later dates of a series.

    Attributes:
        since: From which instant of the series.
        shift: By how much it moves a date.
        length: How long each takes.
        event: The change.
    """

    since: datetime
    shift: timedelta
    length: timedelta
    event: Event


@dataclass(frozen=True, slots=True)
class SeriesReader:
    """Works out the times that the events of one uid take.

    Attributes:
        clock_of: Gives the clock of a zone's name, told where it is used.
        low: Start of the stretch, UTC without a zone, with a margin for any clock.
        high: End of the stretch, likewise.
        budget: Work allowed.
    """

    clock_of: Callable[[str, str], WallClock]
    low: datetime
    high: datetime
    budget: Budget

    def spans(self, events: list[Event]) -> list[Span]:
        """Return the spans that may meet the stretch, in no order.

        Raises:
            LineError: If one of the events has a fault that only shows when it is worked out.
            BudgetError: If the work is used up.
            OverflowError: If its times are beyond the calendar.
        """
        changed: dict[datetime, Event] = {}
        for event in sorted(events, key=lambda event: event.rank):
            if event.replaces is not None:
                changed[self._instant(event.replaces, event)] = event
        found = [self._span(e, e.start) for e in changed.values() if not e.is_free]
        masters = [event for event in events if event.replaces is None]
        if masters:
            found += self._series(max(masters, key=lambda event: event.rank), changed)
        return found

    def _series(self, master: Event, changed: dict[datetime, Event]) -> Iterator[Span]:
        """Yield the spans of a series that no single change stands for."""
        onward = [self._onward(since, e) for since, e in sorted_onward(changed)]
        left_out = [time for time, _unused in times_in(master.left_out)]
        gone = {self._instant(time, master) for time in left_out} | set(changed)
        gone_days = {time.wall.date() for time in left_out if time.is_date}
        for start, span in self._dates(master, onward):
            if span.starts_at in gone or start.wall.date() in gone_days:
                continue
            gone.add(span.starts_at)
            before = bisect_right(onward, span.starts_at, key=lambda each: each.since)
            change = onward[before - 1] if before else None
            if change is not None and not change.event.is_free:
                yield self._moved(change, start, span)
            elif change is None and not master.is_free:
                yield span

    def _onward(self, since: datetime, event: Event) -> _Onward:
        span = self._span(event, event.start)
        return _Onward(since, span.starts_at - since, span.ends_at - span.starts_at, event)

    def _moved(self, change: _Onward, start: WallTime, span: Span) -> Span:
        """Return where a change for all later dates puts one of them (RFC 5545, section 3.8.4.4).

        A change from six to seven means seven on the wall, on either side of a clock change.
        """
        event = change.event
        if (
            event.replaces
            and event.replaces.has_clock_of(start)
            and event.start.has_clock_of(start)
        ):
            return self._span(
                event, start.at(start.wall + (event.start.wall - event.replaces.wall))
            )
        starts_at = span.starts_at + change.shift
        return Span(starts_at, starts_at + change.length, event.title)

    def _dates(self, master: Event, onward: list[_Onward]) -> Iterator[tuple[WallTime, Span]]:
        """Yield the dates of a series, as it was before any change, with their spans."""
        first = self._span(master, master.start)
        reach = max([timedelta(), *(abs(each.shift) for each in onward)])
        lengths = [first.ends_at - first.starts_at, *(each.length for each in onward)]
        low = self.low - min(_LONGEST, max(lengths) + reach) - _MARGIN
        high = self.high + min(_LONGEST, reach) + _MARGIN
        yield master.start, first
        for rule in master.rules:
            for wall in self._walls(rule, master, low, high):
                self.budget.spend(_SPAN_WORK)
                start = master.start.at(wall)
                yield start, self._span(master, start)
        for start, end in times_in(master.added):
            self.budget.spend(_SPAN_WORK)
            yield start, self._span(master, start, end)

    def _walls(
        self, rule: Rule, master: Event, low: datetime, high: datetime
    ) -> Iterator[datetime]:
        """Yield the wall times of a rule up to and with its UNTIL."""
        until = read_time(rule.until, {}) if rule.until else None
        if until is not None:
            high = min(high, until.wall + _MARGIN)
        clock = self._clock(master.start, master)
        for wall in expand(rule, master.start.wall, low, high, self.budget):
            if until is None:
                yield wall
                continue
            if until.is_utc:
                is_over = clock.instant(wall) > until.wall.replace(tzinfo=UTC)
            else:
                is_over = (wall.date() > until.wall.date()) if until.is_date else wall > until.wall
            if is_over:
                return
            yield wall

    def _span(self, event: Event, start: WallTime, end: WallTime | Nominal | None = None) -> Span:
        """Return the span from a start, as long as the event is or to an end of its own.

        With DTEND every date has the same exact length; with DURATION days are days on the
        calendar (RFC 5545, section 3.8.5.3).
        """
        clock = self._clock(start, event)
        starts_at = clock.instant(start.wall)
        if isinstance(end, WallTime):
            ends_at = self._instant(end, event)
        elif end is not None or event.end is None:
            length = end if end is not None else event.length
            ends_at = clock.instant(start.wall + timedelta(days=length.days))
            ends_at += timedelta(seconds=length.seconds)
        elif event.start.is_date:
            ends_at = clock.instant(start.wall + (event.end.wall - event.start.wall))
        else:
            exact = self._instant(event.end, event) - self._instant(event.start, event)
            ends_at = starts_at + exact
        if ends_at < starts_at:
            raise LineError(_("It ends before it starts"))
        return Span(starts_at, ends_at, event.title)

    def _instant(self, time: WallTime, event: Event) -> datetime:
        return self._clock(time, event).instant(time.wall)

    def _clock(self, time: WallTime, event: Event) -> WallClock:
        return ZoneClock(UTC) if time.is_utc else self.clock_of(time.tzid, event.place)


def sorted_onward(changed: dict[datetime, Event]) -> list[tuple[datetime, Event]]:
    """Return the changes that hold for later dates too, in order of time."""
    found = [(since, event) for since, event in changed.items() if event.is_onward]
    return sorted(found, key=lambda pair: pair[0])
