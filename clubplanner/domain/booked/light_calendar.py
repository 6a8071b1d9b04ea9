"""The light of many evenings, and the dates on which something ends in the dark."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.times.daylight import Light, LightKind, find_light
from clubplanner.domain.times.times import TimeRange, each_date, instant_from_wall

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime
    from zoneinfo import ZoneInfo


NO_LAMPS_NEEDED = (LightKind.ALL_DAY, LightKind.UNKNOWN)
"""What the sun does where floodlights burn for nobody, as far as it is known."""


@dataclass(frozen=True, slots=True)
class EveningLight:
    """Until when unlit ground is of use on a date.

    Attributes:
        day: Local date.
        light: Sunset and civil dusk.
        usable_until: Sunset plus the club's margin, UTC; None where the sun does not set, or does
            not rise: ask `light.kind`.
    """

    day: date
    light: Light
    usable_until: datetime | None

    def is_dark_at(self, instant: datetime) -> bool:
        """Tell whether unlit ground is of no use any more at an instant of the evening."""
        if self.light.kind is LightKind.NONE:
            return True
        return self.usable_until is not None and self.usable_until < instant


@dataclass(frozen=True, slots=True)
class Span:
    """Dates from first to last, both included."""

    first: date
    last: date


def list_evenings(
    first: date, last: date, lon: float, lat: float, margin_minutes: int, zone: ZoneInfo
) -> tuple[EveningLight, ...]:
    """Return the light of each local date.

    Args:
        first: First date.
        last: Last date, included.
        lon: Degrees east.
        lat: Degrees north.
        margin_minutes: How long after sunset unlit ground stays usable; negative for before.
        zone: The place's time zone.
    """
    evenings = []
    for day in each_date(first, last):
        light = find_light(day, lon, lat, zone)
        evenings.append(EveningLight(day, light, light.usable_until(margin_minutes)))
    return tuple(evenings)


def dark_spans(evenings: Iterable[EveningLight], end_min: int, zone: ZoneInfo) -> tuple[Span, ...]:
    """Return the dates on which a session that ends at a wall-clock time would end in the dark.

    Args:
        evenings: Consecutive dates in order.
        end_min: Minute of the local day at which the session ends.
        zone: The place's time zone.

    Returns:
        Runs of dates, in order; empty when it is light on every one.
    """
    return _runs(
        evening.day
        for evening in evenings
        if evening.is_dark_at(instant_from_wall(evening.day, end_min, zone))
    )


def sun_spans(evenings: Iterable[EveningLight], kind: LightKind) -> tuple[Span, ...]:
    """Return the runs of dates on which the sun does a thing, of consecutive dates in order."""
    return _runs(evening.day for evening in evenings if evening.light.kind is kind)


def _runs(days: Iterable[date]) -> tuple[Span, ...]:
    spans: list[Span] = []
    for day in days:
        if spans and spans[-1].last + timedelta(days=1) == day:
            spans[-1] = Span(spans[-1].first, day)
        else:
            spans.append(Span(day, day))
    return tuple(spans)


def lamp_spans(
    held: Iterable[TimeRange], evening: EveningLight, whole_day: TimeRange, out: datetime | None
) -> tuple[TimeRange, ...]:
    """Return when floodlights burn on a pitch: while it is dark and somebody is on it.

    For the page of light, its year, statements and reports alike (which count in arrays).

    Args:
        held: When somebody is on the pitch that day; closures light nothing.
        evening: The light of the date.
        whole_day: The local day.
        out: When they go out, whoever is there (`usable_until` of the pitch); None for never.

    Returns:
        In order, none touching another; none where the sun does not set, or nobody can tell.
    """
    if evening.light.kind in NO_LAMPS_NEEDED:
        return ()
    dark_from = evening.usable_until or whole_day.ends_at
    if evening.light.kind is LightKind.NONE:
        dark_from = whole_day.starts_at
    spans: list[TimeRange] = []
    for during in sorted(held, key=lambda one: one.starts_at):
        start = max(during.starts_at, dark_from)
        end = during.ends_at if out is None else min(during.ends_at, out)
        if end <= start:
            continue
        if spans and start <= spans[-1].ends_at:
            spans[-1] = TimeRange(spans[-1].starts_at, max(spans[-1].ends_at, end))
        else:
            spans.append(TimeRange(start, end))
    return tuple(spans)


def lamp_minutes(
    held: Iterable[TimeRange], evening: EveningLight, whole_day: TimeRange, out: datetime | None
) -> int:
    """Return how many minutes floodlights burn on a pitch, as `lamp_spans` tells."""
    spans = lamp_spans(held, evening, whole_day, out)
    total = sum((span.ends_at - span.starts_at for span in spans), timedelta(0))
    return int(total.total_seconds() // 60)
