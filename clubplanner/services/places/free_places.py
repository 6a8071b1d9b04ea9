"""Free ground for whoever asks: what no booking holds and no rule of the rule book refuses."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Booking, Purpose, draft_booking
from clubplanner.domain.club.squads import Ask, LeastGround
from clubplanner.domain.times.times import MINUTES_A_DAY, TimeRange, Window
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.places.places import Need, find_places
from clubplanner.services.places.scenes import load_scenes
from clubplanner.services.rows.snapshot import load_zone

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from clubplanner.domain.ground.places import Place
    from clubplanner.domain.rules.case import Scene
    from clubplanner.store.engine import Store

LONGEST_SPAN = timedelta(hours=24)
NOWHERE = 0
"""The number of a booking that stands nowhere yet."""


@dataclass(frozen=True, slots=True)
class FreeWish:
    """What ground is looked for.

    Attributes:
        during: From the earliest start to the latest end, at most a day.
        minutes: How long.
        squad_key: For which squad, on its usual kind of ground; blank for somebody from outside.
        venue_key: Only there; blank for anywhere.
        least_m2: At least so large, square metres; 0 for any.
        most: How many places at most.
    """

    during: TimeRange
    minutes: int
    squad_key: str = ""
    venue_key: str = ""
    least_m2: float = 0.0
    most: int = 20


@dataclass(frozen=True, slots=True)
class FreePlace:
    """A place that is free.

    Attributes:
        pitch_key: The pitch.
        area_key: Which part of it.
        name: The same in words.
        venue_name: Where it lies.
        during: When.
        area_m2: How large it is, square metres.
    """

    pitch_key: str
    area_key: str
    name: str
    venue_name: str
    during: TimeRange
    area_m2: float


def find_free_places(store: Store, wish: FreeWish, now: datetime) -> tuple[FreePlace, ...]:
    """Find free ground, the earliest first, on equal times the smallest that will do.

    Args:
        store: The database.
        wish: What is looked for.
        now: The present instant; nothing starts before it.

    Raises:
        MissingError: If there is no such squad or venue.
        RefusedError: If the span is longer than a day or shorter than what is looked for.
    """
    length = timedelta(minutes=wish.minutes)
    if wish.during.ends_at - wish.during.starts_at > LONGEST_SPAN:
        raise RefusedError(_("Look for ground within 24 hours at most."))
    latest = wish.during.ends_at - length
    earliest = max(wish.during.starts_at, now)
    if latest < wish.during.starts_at:
        raise RefusedError(_("The time is shorter than the session; give more of it, or less."))
    with store.read() as session:
        zone = load_zone(session)
        days = [at.astimezone(zone).date() for at in (wish.during.starts_at, wish.during.ends_at)]
        scene = load_scenes(session, days[0], days[1])
    at = next((one for one in scene.venues if one.key == wish.venue_key), None)
    if wish.venue_key and at is None:
        raise MissingError(_("There is no such venue; look at the list of grounds."))
    if latest < earliest:
        return ()
    first = _on_step(scene, wish.during.starts_at)
    need = Need(
        _booking(scene, wish, TimeRange(first, first + length)),
        _ask(scene, wish, days),
        scene.squads.get(wish.squad_key),
        earliest,
        latest,
    )
    keys = {number: key for key, number in scene.area_ids.items()}
    found = find_places(scene, need, most=MOST_LOOKED_AT, at=at)
    places = [_free(scene, place, keys[place.area_id]) for place in found]
    places = [one for one in places if one.area_m2 >= wish.least_m2]
    places.sort(key=lambda one: (one.during.starts_at, one.area_m2, one.pitch_key, one.area_key))
    return tuple(places[: wish.most])


MOST_LOOKED_AT = 10_000


def _on_step(scene: Scene, instant: datetime) -> datetime:
    """Return the first instant from one on at which a session may start."""
    local = instant.astimezone(scene.club.time_zone)
    minute = local.hour * 60 + local.minute
    return instant + timedelta(minutes=-minute % scene.club.step_minutes)


def _booking(scene: Scene, wish: FreeWish, during: TimeRange) -> Booking:
    squad = scene.squads.get(wish.squad_key)
    if wish.squad_key and squad is None:
        raise MissingError(_("There is no such squad; look at the list of squads."))
    return draft_booking(
        number=NOWHERE,
        during=during,
        purpose=Purpose.HIRE if squad is None else Purpose.TRAINING,
        squad_key=None if squad is None else squad.key,
        holder="" if squad is None else squad.name,
    )


def _ask(scene: Scene, wish: FreeWish, days: Sequence[date]) -> Ask | None:
    """Return what a squad asks for here: any time of the days, of its usual kind of ground."""
    squad = scene.squads.get(wish.squad_key)
    if squad is None:
        return None
    usual = next(iter(scene.asks.get(squad.key, ())), None)
    return Ask(
        squad_key=squad.key,
        sessions=1,
        minutes=wish.minutes,
        possible=tuple(Window(n, 0, MINUTES_A_DAY) for n in sorted({d.weekday() for d in days})),
        preferred=(),
        least_ground=LeastGround(area_m2=wish.least_m2),
        surfaces=frozenset() if usual is None else usual.surfaces,
        needs_goal=False if usual is None else usual.needs_goal,
        needs_light=False if usual is None else usual.needs_light,
    )


def _free(scene: Scene, place: Place, key: tuple[str, str]) -> FreePlace:
    pitch_key, area_key = key
    area = scene.pitches[pitch_key].area(area_key)
    return FreePlace(pitch_key, area_key, place.name, place.venue_name, place.during, area.area_m2)
