"""Ground, squads and times that a body names: found, or a fault at the member that names them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pydantic import Field

from clubplanner.domain.problems import Problem
from clubplanner.domain.times.times import TimeRange
from clubplanner.errors import FaultyInputError, MissingError
from clubplanner.language import _
from clubplanner.services.places.ruling import Overruling
from clubplanner.services.rows.named import find_area_id, find_squad_number
from clubplanner.webapp.api.frame.values import Instant, Name, Value, Words, example
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from datetime import datetime
    from zoneinfo import ZoneInfo

PLACE = {"pitch": "marsh-lane-top-pitch", "area": "third-1"}
ALTHOUGH = {
    "because": "The committee wants it.",
    "told": ["The floodlights of Low pitch are broken."],
}


class Place(Value):
    """Ground: a pitch, and the area of it."""

    model_config = example(**PLACE)

    pitch: Name = Field(description="The pitch's key.")
    area: Name = Field(default="whole", description="The area's key.")


class Although(Value):
    """That rules in the way are overruled, and why; held ground never is."""

    model_config = example(**ALTHOUGH)

    because: Words = Field(min_length=1, description="Why it is done all the same.")
    told: list[Words] | None = Field(
        default=None,
        max_length=50,
        description="Details of the `hindrances` that were read; only these are overruled. None: "
        "whatever stands in the way.",
    )


def overruling_of(although: Although | None) -> Overruling:
    """Return which rules are overruled."""
    if although is None:
        return Overruling()
    told = None if although.told is None else frozenset(although.told)
    return Overruling(although.because.strip(), told)


def area_at(place: Place, member: str = "/place") -> int:
    """Return the number of an area.

    Raises:
        FaultyInputError: If there is none, at the member that names it.
    """
    try:
        return find_area_id(app_state().store, place.pitch, place.area)
    except MissingError as fault:
        raise FaultyInputError([Problem(member, "no-such-ground", str(fault))]) from fault


def squad_at(key: str, member: str = "/squad") -> int:
    """Return the number of a squad.

    Raises:
        FaultyInputError: If there is none, at the member that names it.
    """
    try:
        return find_squad_number(app_state().store, key)
    except MissingError as fault:
        raise FaultyInputError([Problem(member, "no-such-squad", str(fault))]) from fault


def during_at(starts_at: datetime, ends_at: datetime, member: str = "/ends_at") -> TimeRange:
    """Return a range of instants.

    Raises:
        FaultyInputError: If it ends before it begins, at the member that says when it ends.
    """
    if ends_at <= starts_at:
        words = _("The end must come after the start.")
        raise FaultyInputError([Problem(member, "order", words)])
    return TimeRange(starts_at, ends_at)


def in_zone(instant: datetime, zone: ZoneInfo) -> Instant:
    """Return an instant as it goes out: on the club's clock, with the offset."""
    return instant.astimezone(zone)
