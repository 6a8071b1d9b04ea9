"""Writing the club's settings as the file that they could be loaded from (TOML 1.0)."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import tomli_w

from clubplanner.domain.times.times import clock_from_minute
from clubplanner.domain.times.windows import write_windows

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from clubplanner.domain.club.keeping import Keeping
    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.domain.times.seasons import Break, Stretch


def write_settings(
    club: ClubSettings,
    venues: Iterable[Venue],
    stretches: Iterable[Stretch],
    breaks: Iterable[Break],
    keeping: Keeping | None = None,
) -> str:
    """Write settings that `read_settings` reads back the same; bookings have no place in them."""
    rules = club.rules
    parts: list[tuple[str, Mapping[str, Any]]] = [("[club]", _club(club))]
    if keeping is not None:
        parts.append(("[keep]", asdict(keeping)))
    parts += [("[[venues]]", _venue(venue)) for venue in venues]
    for table, spans in (("[[stretches]]", stretches), ("[[breaks]]", breaks)):
        parts += [
            (table, {"name": one.name, "starts": one.starts_on, "ends": one.ends_on})
            for one in spans
        ]
    for rule in rules.ages:
        latest, earliest = rule.latest_finish_min, rule.earliest_start_min
        values = {
            "up_to": rule.up_to,
            "latest_finish": None if latest is None else clock_from_minute(latest),
            "wear_percent": rule.wear_percent,
            "earliest_start": None if earliest is None else clock_from_minute(earliest),
        }
        parts.append(("[[ages]]", values))
    for limit in rules.limits:
        values = {"venue": limit.venue, "pitch": limit.pitch}
        values |= {"minutes": limit.minutes, "sessions": limit.sessions}
        parts.append(("[[limits]]", values))
    for price in rules.prices:
        values = {"venue": price.venue, "pitch": price.pitch or None}
        values |= {"per_hour": price.per_hour, "per_opening": price.per_opening or None}
        parts.append(("[[prices]]", values))
    return "\n".join(_written(table, values) for table, values in parts)


def _club(club: ClubSettings) -> dict[str, Any]:
    return {
        "name": club.name,
        "time_zone": club.zone,
        "language": club.language,
        "step_minutes": club.step_minutes,
        "changeover_minutes": club.changeover_minutes,
        "travel_minutes": club.travel_minutes,
        "compact_evenings": club.rules.wants_compact,
    }


def _venue(venue: Venue) -> dict[str, Any]:
    lights = venue.lights_off_min
    return {
        "name": venue.name,
        "address": venue.address,
        "lon": venue.lon,
        "lat": venue.lat,
        "opening": write_windows(venue.opening),
        "lights_off": None if lights is None else clock_from_minute(lights),
        "dusk_margin_minutes": venue.dusk_margin_minutes,
        "way_in": venue.way_in,
        "parking": venue.parking,
        "contact": venue.contact,
        "contact_phone": venue.contact_phone,
        "phone_for_parents": venue.phone_for_parents,
    }


def _written(table: str, values: Mapping[str, Any]) -> str:
    """Write a table; what is None is left out."""
    return f"{table}\n{tomli_w.dumps(dict(_said(values)))}"


def _said(values: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    yield from ((name, value) for name, value in values.items() if value is not None)
