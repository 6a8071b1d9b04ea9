"""The year: public holidays, breaks not yet decided, and each squad's own season."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import holidays

from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable
    from datetime import date

    from clubplanner.domain.times.seasons import Break, Stretch

FIRST_YEAR, LAST_YEAR = 2000, 2099


@dataclass(frozen=True, slots=True)
class Holiday:
    """A public holiday."""

    day: date
    name: str


@dataclass(frozen=True, slots=True)
class SquadSeason:
    """A squad's own season; None for no end of its own.

    Attributes:
        starts_on: First date of training.
        ends_on: Last date, included.
    """

    starts_on: date | None = None
    ends_on: date | None = None

    def has(self, day: date) -> bool:
        """Tell whether the squad trains on a date at all."""
        return (self.starts_on is None or self.starts_on <= day) and (
            self.ends_on is None or day <= self.ends_on
        )

    def meets(self, first: date, last: date) -> bool:
        """Tell whether the squad trains on any date from one to another, included."""
        begins = first if self.starts_on is None else max(first, self.starts_on)
        ends = last if self.ends_on is None else min(last, self.ends_on)
        return begins <= ends


@lru_cache(maxsize=1)
def known_countries() -> dict[str, tuple[str, ...]]:
    """Return the codes of countries (ISO 3166-1) with those of their regions (ISO 3166-2)."""
    listed = holidays.list_supported_countries()
    return {code: tuple(regions) for code, regions in sorted(listed.items()) if len(code) == 2}


@lru_cache(maxsize=8)
def region_names(country: str) -> dict[str, str]:
    """Return what the regions of a country are called, by code; those without a name left out."""
    if country not in known_countries():
        return {}
    listed = holidays.country_holidays(country).get_subdivision_aliases()
    return {code: names[0] for code, names in listed.items() if names}


def public_holidays(country: str, region: str, first: date, last: date) -> tuple[Holiday, ...]:
    """Return the public holidays of a country or a region of it, by date.

    Args:
        country: Code such as "GB"; blank for none.
        region: Code such as "ENG"; blank for what holds in the whole country.
        first: First date.
        last: Last date, included.

    Returns:
        The holidays; one a date, several names joined.

    Raises:
        ValueError: If country or region is not known; the message says what to write.
    """
    if not country:
        return ()
    regions = known_countries().get(country)
    if regions is None:
        raise ValueError(
            _(
                "“%(country)s” is not a known country; write a code like GB, DE or US",
                country=country,
            )
        )
    if region and region not in regions:
        known = ", ".join(regions) or "none"
        raise ValueError(
            _(
                "“%(region)s” is not a known region of %(country)s; write one of: %(known)s",
                region=region,
                country=country,
                known=known,
            )
        )
    years = range(max(FIRST_YEAR, first.year), min(LAST_YEAR, last.year) + 1)
    found = holidays.country_holidays(country, subdiv=region or None, years=years)
    return tuple(
        Holiday(day, name.replace("; ", ", "))
        for day, name in sorted(found.items())
        if first <= day <= last
    )


def undecided_holidays(
    listed: Iterable[Holiday],
    stretches: Collection[Stretch],
    breaks: Collection[Break],
    kept: Collection[date],
) -> tuple[Holiday, ...]:
    """Return the holidays in the season that are neither a break nor declared a training day.

    Args:
        listed: Public holidays.
        stretches: The stretches of the season.
        breaks: Dates without training.
        kept: Holidays on which there is training as usual.
    """
    return tuple(
        holiday
        for holiday in listed
        if any(s.starts_on <= holiday.day <= s.ends_on for s in stretches)
        and not any(b.starts_on <= holiday.day <= b.ends_on for b in breaks)
        and holiday.day not in kept
    )
