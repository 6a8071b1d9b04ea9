"""The light of a venue, date by date, and what its floodlights cost."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.light_calendar import (
    EveningLight,
    dark_spans,
    lamp_minutes,
    list_evenings,
)
from clubplanner.domain.money.amounts import amount_from_text, rounded, tell_amount
from clubplanner.domain.money.tariffs import InLight, Payer, Spot, Tariff
from clubplanner.domain.rules.times.light import usable_until
from clubplanner.domain.times.daylight import LightKind
from clubplanner.domain.times.times import TimeRange, clock_from_minute, clock_in_zone, short_day
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _, ngettext
from clubplanner.services.money.floodlights import cost_of
from clubplanner.services.money.uses import load_lit
from clubplanner.services.rows.club.money_rows import load_tariffs, load_terms, write_tariff
from clubplanner.services.rows.snapshot import load_club, load_venues
from clubplanner.services.season.light.in_the_dark import day_range
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.store.tables.ground_tables import VenueRow
from clubplanner.store.tables.money_tables import TariffRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.store.engine import Store

AS_BOOKED = datetime(9000, 1, 1, tzinfo=UTC)
"""Later than any booking."""
USUAL_ENDS = (18 * 60, 18 * 60 + 30, 19 * 60, 19 * 60 + 30, 20 * 60)
"""Minutes for which the page says from when to when it is too dark."""


@dataclass(frozen=True, slots=True)
class LightRow:
    """A date in the table; local times, or words where the sun does not set or rise."""

    day: date
    day_words: str
    sunset: str
    civil_dusk: str
    usable_until: str
    lamp_minutes: int

    @property
    def lamps(self) -> str:
        """How long floodlights burn, hours and minutes; blank for not at all."""
        hours, minutes = divmod(self.lamp_minutes, 60)
        return f"{hours}:{minutes:02d} h" if self.lamp_minutes else ""


@dataclass(frozen=True, slots=True)
class EndLight:
    """When a session that ends at a time is in the dark."""

    end: str
    words: str


@dataclass(frozen=True, slots=True)
class LightPage:
    """What the page of light shows.

    Attributes:
        venue: The venue looked at.
        venues: All of them.
        margin: The club's margin in words.
        curfew: When floodlights go out; blank for no rule.
        rows: A row a date.
        ends: For usual ends, when these are in the dark during the year from the first date.
        lamp_hours: Floodlight hours in all.
        lamp_cost: What these cost, in words; blank as long as nobody said what an hour costs.
        is_place_known: Whether somebody has said where the venue lies: without a place no light
            can be told, and there are no rows and no ends.
    """

    venue: Choice
    venues: tuple[Choice, ...]
    margin: str
    curfew: str
    rows: tuple[LightRow, ...]
    ends: tuple[EndLight, ...]
    lamp_hours: float
    lamp_cost: str = ""
    is_place_known: bool = True


def see_light(store: Store, venue_key: str | None, first: date, last: date) -> LightPage:
    """Show the light at a venue, date by date.

    Args:
        store: The database.
        venue_key: Which venue; None for the first.
        first: First local date.
        last: Last date, included.

    Raises:
        MissingError: If there is no such venue, or none at all.
    """
    with store.read() as session:
        zone = load_club(session).time_zone
        venues = load_venues(session)
        venue = next((v for v in venues if venue_key in (None, v.key)), None)
        if venue is None:
            raise MissingError(_("There is no such venue; choose one from the page of light."))
        held = load_lit(session, [venue], (first, last), AS_BOOKED)
        cost = _cost_words(session, venue, held, zone)
    if venue.lon is None or venue.lat is None:
        return _page_without_place(venue, venues)
    evenings = list_evenings(first, last, venue.lon, venue.lat, venue.dusk_margin_minutes, zone)
    year = list_evenings(
        first,
        first + timedelta(days=364),
        venue.lon,
        venue.lat,
        venue.dusk_margin_minutes,
        zone,
    )
    rows = tuple(_row(venue, evening, held, zone) for evening in evenings)
    hours = sum(row.lamp_minutes for row in rows) / 60
    return LightPage(
        venue=Choice(venue.key, venue.name),
        venues=tuple(Choice(v.key, v.name) for v in venues),
        margin=_margin_words(venue.dusk_margin_minutes),
        curfew="" if venue.lights_off_min is None else clock_from_minute(venue.lights_off_min),
        rows=rows,
        ends=tuple(_end(year, minute, zone) for minute in USUAL_ENDS),
        lamp_hours=hours,
        lamp_cost=cost,
    )


def _cost_words(
    session: Session,
    venue: Venue,
    held: Mapping[tuple[str, date], Sequence[TimeRange]],
    zone: ZoneInfo,
) -> str:
    """Say what floodlights cost as booked on some dates; blank where no tariff says it."""
    burnt = cost_of(held, [venue], load_tariffs(session), zone)
    here = [one.cost for one in burnt if one.cost is not None]
    if not here and find_lamp_tariff(session, venue.key) is None:
        return ""
    return tell_amount(rounded(sum(here, Fraction(0))), load_terms(session).currency)


def _page_without_place(venue: Venue, venues: Sequence[Venue]) -> LightPage:
    return LightPage(
        venue=Choice(venue.key, venue.name),
        venues=tuple(Choice(v.key, v.name) for v in venues),
        margin=_margin_words(venue.dusk_margin_minutes),
        curfew="" if venue.lights_off_min is None else clock_from_minute(venue.lights_off_min),
        rows=(),
        ends=(),
        lamp_hours=0.0,
        is_place_known=False,
    )


def set_lamp_cost(store: Store, venue_key: str, per_hour: str) -> str:
    """Say what an hour of a venue's floodlights costs the club, for one pitch.

    It is a tariff like others, the one that holds always; the page of tariffs has the rest.

    Args:
        store: The database.
        venue_key: Which venue.
        per_hour: An amount of the club's currency, such as "12.50"; blank for not known.

    Returns:
        What was done, a sentence.

    Raises:
        MissingError: If there is no such venue.
        RefusedError: If it is no amount.
    """
    with store.write() as session:
        venue = session.scalars(select(VenueRow).where(VenueRow.key == venue_key)).first()
        if venue is None:
            raise MissingError(_("There is no such venue; choose one from the page of light."))
        row = find_lamp_tariff(session, venue_key)
        if not per_hour.strip():
            if row is not None:
                session.delete(row)
            return _("%(venue)s: what floodlights cost is not known.", venue=venue.name)
        currency = load_terms(session).currency
        try:
            amount = amount_from_text(per_hour, currency)
        except ValueError as fault:
            raise RefusedError(str(fault)) from fault
        if row is None:
            row = TariffRow()
            session.add(row)
            spot = Spot(venue_key)
            lamps = Tariff(0, Payer.CLUB, spot, amount, adds=True, light=InLight.FLOODLIGHT)
            write_tariff(row, lamps, venue.id, None, None)
        row.amount = amount
        return _(
            "%(venue)s: an hour of floodlights costs %(per_hour)s.",
            venue=venue.name,
            per_hour=tell_amount(amount, currency),
        )


def find_lamp_tariff(session: Session, venue_key: str) -> TariffRow | None:
    """Return the tariff of a venue's floodlights that holds always; None for none."""
    lamps = (
        one
        for one in load_tariffs(session)
        if one.payer is Payer.CLUB
        and one.adds
        and one.spot == Spot(venue_key)
        and one.light is InLight.FLOODLIGHT
        and one.said == 1
    )
    chosen = max(lamps, key=lambda one: one.rank, default=None)
    return None if chosen is None else session.get(TariffRow, chosen.number)


def lit_minutes(
    venue: Venue,
    evening: EveningLight,
    held: Mapping[tuple[str, date], Sequence[TimeRange]],
    zone: ZoneInfo,
) -> int:
    """Return how long floodlights burn at a venue on a date, each pitch by itself.

    Args:
        venue: The venue.
        evening: The light of the date.
        held: When somebody is on each lit pitch on each date (`load_lit`).
        zone: The club's time zone.
    """
    whole = day_range(evening.day, zone)
    return sum(
        lamp_minutes(there, evening, whole, usable_until(pitch, venue, evening.day, zone))
        for pitch in venue.pitches
        if (there := held.get((pitch.key, evening.day)))
    )


def _row(
    venue: Venue,
    evening: EveningLight,
    held: Mapping[tuple[str, date], Sequence[TimeRange]],
    zone: ZoneInfo,
) -> LightRow:
    light = evening.light
    words = {LightKind.ALL_DAY: _("does not set"), LightKind.NONE: _("does not rise")}.get(
        light.kind, ""
    )
    usable = {LightKind.ALL_DAY: _("all evening"), LightKind.NONE: _("not at all")}.get(
        light.kind, ""
    )
    return LightRow(
        day=evening.day,
        day_words=short_day(evening.day),
        sunset=words if light.sunset_at is None else clock_in_zone(light.sunset_at, zone),
        civil_dusk="–" if light.civil_dusk_at is None else clock_in_zone(light.civil_dusk_at, zone),
        usable_until=usable
        if evening.usable_until is None
        else clock_in_zone(evening.usable_until, zone),
        lamp_minutes=lit_minutes(venue, evening, held, zone),
    )


def _end(evenings: Sequence[EveningLight], minute: int, zone: ZoneInfo) -> EndLight:
    spans = dark_spans(evenings, minute, zone)
    if not spans:
        words = _("light all year")
    else:
        words = (
            _("in the dark")
            + " "
            + ", ".join(
                short_day(s.first)
                if s.first == s.last
                else _("%(first)s to %(last)s", first=short_day(s.first), last=short_day(s.last))
                for s in spans
            )
        )
    return EndLight(clock_from_minute(minute), words)


def _margin_words(minutes: int) -> str:
    if minutes == 0:
        return _("from sunrise until sunset")
    if minutes > 0:
        return ngettext(
            "from %(num)s minute before sunrise until %(num)s minute after sunset",
            "from %(num)s minutes before sunrise until %(num)s minutes after sunset",
            minutes,
        )
    return ngettext(
        "from %(num)s minute after sunrise until %(num)s minute before sunset",
        "from %(num)s minutes after sunrise until %(num)s minutes before sunset",
        -minutes,
    )
