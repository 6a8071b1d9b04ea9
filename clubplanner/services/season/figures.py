"""Light and use of grass as figures, for whoever reads no words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.light_calendar import list_evenings
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.money.uses import load_lit
from clubplanner.services.rows.ground.wear_limits import load_wear_limits
from clubplanner.services.rows.snapshot import load_club, load_venues
from clubplanner.services.season.grass.wear import measure_pitches
from clubplanner.services.season.light.page import AS_BOOKED, lit_minutes

if TYPE_CHECKING:
    from datetime import date, datetime

    from clubplanner.domain.ground.wear import WearLimit, WeekWear
    from clubplanner.domain.times.daylight import LightKind
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class EveningFigures:
    """The light of one date at a venue.

    Attributes:
        day: Local date.
        kind: Whether the sun sets at all.
        sunset_at: Instant, UTC; None where it does not set.
        civil_dusk_at: Instant, UTC; None where it does not get so dark.
        usable_until: Until when unlit ground is of use; None where `kind` says always or never.
        lamp_minutes: How long floodlights burn by what is booked, each pitch by itself.
    """

    day: date
    kind: LightKind
    sunset_at: datetime | None
    civil_dusk_at: datetime | None
    usable_until: datetime | None
    lamp_minutes: int


@dataclass(frozen=True, slots=True)
class PitchUse:
    """How much a grass pitch is used.

    Attributes:
        key: The pitch.
        name: As people say it.
        limit: What the club lets it bear; None for no limit.
        weeks: In order.
    """

    key: str
    name: str
    limit: WearLimit | None
    weeks: tuple[WeekWear, ...]


def measure_light(
    store: Store, venue_key: str, first: date, last: date
) -> tuple[EveningFigures, ...]:
    """Return the light of each date at a venue; nothing for one whose place nobody has said.

    Args:
        store: The database.
        venue_key: Which venue.
        first: First local date.
        last: Last date, included.

    Raises:
        MissingError: If there is no such venue.
    """
    with store.read() as session:
        zone = load_club(session).time_zone
        venue = next((one for one in load_venues(session) if one.key == venue_key), None)
        if venue is None:
            raise MissingError(_("There is no such venue; look at the list of grounds."))
        held = load_lit(session, [venue], (first, last), AS_BOOKED)
    if venue.lon is None or venue.lat is None:
        return ()
    margin = venue.dusk_margin_minutes
    return tuple(
        EveningFigures(
            evening.day,
            evening.light.kind,
            evening.light.sunset_at,
            evening.light.civil_dusk_at,
            evening.usable_until,
            lit_minutes(venue, evening, held, zone),
        )
        for evening in list_evenings(first, last, venue.lon, venue.lat, margin, zone)
    )


def measure_use(store: Store, day: date, weeks: int) -> tuple[PitchUse, ...]:
    """Return how much grass pitches are used, by weeks.

    Args:
        store: The database.
        day: A date of the first week.
        weeks: How many weeks.
    """
    monday = day - timedelta(days=day.weekday())
    with store.read() as session:
        limits = load_wear_limits(session)
        measured = measure_pitches(session, monday, weeks)
    return tuple(
        PitchUse(pitch.key, f"{pitch.name}, {venue}", limits.get(pitch.key), found)
        for venue, pitch, found in measured
    )
