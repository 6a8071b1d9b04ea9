"""Short ways to tariffs, sessions and the lines they make."""

from __future__ import annotations

from datetime import UTC, datetime
from fractions import Fraction
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from clubplanner.domain.money.charging import Use, charge
from clubplanner.domain.money.lines import Debtor, Line, Reduction, make_lines
from clubplanner.domain.money.tariffs import Payer, Spot, Tariff
from clubplanner.domain.times.times import TimeRange

if TYPE_CHECKING:
    from collections.abc import Sequence

LONDON = ZoneInfo("Europe/London")
TOP = Spot("lane", "top", "whole")
KESTRELS = Debtor(Payer.SQUAD, "kestrels", 12)


def make_tariff(amount: int, number: int = 1, **changes: Any) -> Tariff:
    """Return what squads pay at the venue, an hour unless said otherwise."""
    spot = changes.pop("spot", Spot("lane"))
    return Tariff(number, changes.pop("payer", Payer.SQUAD), spot, amount, **changes)


def make_use(
    start: str, end: str, share: Fraction = Fraction(1), number: int = 1, **changes: Any
) -> Use:
    """Return a session from and until instants written "2026-11-25 18:00", UTC."""
    spot = changes.pop("spot", TOP)
    return Use(number, spot, share, make_range(start, end), **changes)


def make_range(start: str, end: str) -> TimeRange:
    """Return a range of instants written "2026-11-25 18:00", UTC."""
    first, last = (datetime.fromisoformat(text).replace(tzinfo=UTC) for text in (start, end))
    return TimeRange(first, last)


def lines_of(
    uses: Sequence[Use],
    tariffs: Sequence[Tariff],
    reductions: Sequence[Reduction] = (),
    debtor: Debtor = KESTRELS,
    zone: ZoneInfo = LONDON,
) -> tuple[Line, ...]:
    """Return the lines of one payer."""
    return make_lines(charge(uses, tariffs, debtor.payer, zone), reductions, debtor)


def told(lines: Sequence[Line], zone: ZoneInfo = LONDON) -> list[tuple[str, str, int, int]]:
    """Return of each line from when to when by the clock, its minutes and its amount."""
    found = []
    for line in lines:
        start, end = (
            at.astimezone(zone) for at in (line.charge.during.starts_at, line.charge.during.ends_at)
        )
        found.append((f"{start:%H:%M}", f"{end:%H:%M}", line.charge.minutes, line.amount))
    return found
