"""Writing the club's settings as the file that they could be loaded from (TOML 1.0)."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

import tomli_w

from clubplanner.domain.money.amounts import plain_amount
from clubplanner.domain.money.tariffs import InLight, Payer
from clubplanner.domain.times.times import MINUTES_A_DAY, clock_from_minute
from clubplanner.domain.times.windows import write_days, write_windows

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from clubplanner.domain.club.persons.keeping import Keeping
    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.domain.money.lines import Reduction
    from clubplanner.domain.money.tariffs import Tariff
    from clubplanner.domain.money.terms import MoneyTerms
    from clubplanner.domain.times.seasons import Break, Stretch


@dataclass(frozen=True, slots=True)
class MoneyWritten:
    """What the club settled about money, with its places, squads and parts as files name them.

    Attributes:
        terms: The club's; None where nobody has said anything.
        tariffs: In order.
        reductions: In order.
    """

    terms: MoneyTerms | None
    tariffs: tuple[Tariff, ...]
    reductions: tuple[Reduction, ...]


def write_settings(
    club: ClubSettings,
    venues: Iterable[Venue],
    stretches: Iterable[Stretch],
    breaks: Iterable[Break],
    keeping: Keeping | None = None,
    money: MoneyWritten | None = None,
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
    if money is not None:
        parts += _money(money)
    return "\n".join(_written(table, values) for table, values in parts)


def _money(money: MoneyWritten) -> Iterator[tuple[str, Mapping[str, Any]]]:
    currency = "" if money.terms is None else money.terms.currency
    if money.terms is not None:
        yield "[money]", asdict(money.terms)
    for tariff in money.tariffs:
        yield "[[tariffs]]", _tariff(tariff, currency)
    for one in money.reductions:
        yield (
            "[[reductions]]",
            {
                "name": one.name or None,
                "payer": one.payer.value,
                "squad": one.who if one.who and one.payer is Payer.SQUAD else None,
                "hirer": one.who if one.who and one.payer is Payer.HIRER else None,
                "up_to_age": one.up_to_age,
                "venue": one.venue or None,
                "percent": one.percent or None,
                "free_minutes": one.free_minutes or None,
            },
        )


def _tariff(tariff: Tariff, currency: str) -> dict[str, Any]:
    spot = tariff.spot
    is_all_day = (tariff.from_min, tariff.to_min) == (0, MINUTES_A_DAY)
    return {
        "name": tariff.name or None,
        "payer": tariff.payer.value,
        "venue": spot.venue,
        "pitch": spot.pitch or None,
        "part": spot.area or None,
        "amount": plain_amount(tariff.amount, currency),
        "per": tariff.per.value,
        "adds": tariff.adds or None,
        "light": None if tariff.light is InLight.ANY else tariff.light.value,
        "days": write_days(sorted(tariff.weekdays)) or None,
        "from": None if is_all_day else clock_from_minute(tariff.from_min),
        "to": None if is_all_day else clock_from_minute(tariff.to_min),
        "season_from": tariff.season_from or None,
        "season_to": tariff.season_to or None,
        "starts": tariff.starts_on,
        "ends": tariff.ends_on,
    }


def _club(club: ClubSettings) -> dict[str, Any]:
    return {
        "name": club.name,
        "time_zone": club.zone,
        "language": club.language,
        "step_minutes": club.step_minutes,
        "changeover_minutes": club.changeover_minutes,
        "travel_minutes": club.travel_minutes,
        "compact_evenings": club.rules.wants_compact,
        "evenings": club.rules.evenings.value,
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
