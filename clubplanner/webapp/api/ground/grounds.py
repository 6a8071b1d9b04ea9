"""Venues, pitches and their parts, as values and as a map; and which of it is free."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field

from clubplanner.domain.times.times import clock_from_minute
from clubplanner.errors import RefusedError
from clubplanner.language import _
from clubplanner.services.places.free_places import FreeWish, find_free_places
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.showing.ground.ground_map import list_venues, map_venue, see_venue
from clubplanner.webapp.api.frame.cursors import leaf_of
from clubplanner.webapp.api.frame.operations import operation
from clubplanner.webapp.api.frame.values import (
    Instant,
    LeafQuery,
    Moment,
    ShortWords,
    Value,
    example,
)
from clubplanner.webapp.api.shared.ground_at import PLACE, Place, during_at, in_zone
from clubplanner.webapp.api.shared.squad_values import WEEKDAY_WORDS, WindowValue
from clubplanner.webapp.base.security import for_signed_in, signed_in_person
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.services.showing.ground.ground_map import MapFeature

_AREA = {"key": "third-1", "name": "Clubhouse third", "area_m2": 2133.3}
_PITCH = {
    "key": "marsh-lane-top-pitch",
    "name": "Top pitch",
    "surface": "artificial",
    "is_lit": True,
    "is_indoor": False,
    "area_m2": 6400.0,
    "areas": [_AREA],
}
_VENUE = {
    "key": "marsh-lane",
    "name": "Marsh Lane",
    "address": "Marsh Lane, Alderby",
    "lon": -1.2,
    "lat": 52.9,
    "opening": [{"weekday": "wed", "starts": "17:00", "ends": "22:00"}],
    "lights_off": "21:30",
    "dusk_margin_minutes": 10,
    "way_in": "",
    "parking": "",
    "pitches": [_PITCH],
}
_PROPERTIES = {
    "role": "area",
    "place": PLACE,
    "name": "Clubhouse third",
    "surface": "artificial",
    "is_lit": True,
    "is_indoor": False,
    "area_m2": 2133.3,
}
_FREE = {
    "place": PLACE,
    "name": "Clubhouse third, Top pitch",
    "venue": "Marsh Lane",
    "starts_at": "2026-11-25T18:00:00+00:00",
    "ends_at": "2026-11-25T19:15:00+00:00",
    "area_m2": 2133.3,
}


class AreaValue(Value):
    """A part of a pitch that can be booked; the whole pitch is one."""

    model_config = example(**_AREA)

    key: str
    name: str
    area_m2: float


class PitchValue(Value):
    """A pitch with its parts."""

    model_config = example(**_PITCH)

    key: str
    name: str
    surface: str
    is_lit: bool
    is_indoor: bool
    area_m2: float
    areas: list[AreaValue]


class VenueValue(Value):
    """A venue with its pitches."""

    model_config = example(**_VENUE)

    key: str
    name: str
    address: str
    lon: float | None = Field(description="Degrees east; none where nobody has said.")
    lat: float | None = Field(description="Degrees north.")
    opening: list[WindowValue]
    lights_off: str | None = Field(description="When floodlights go out; none for no rule.")
    dusk_margin_minutes: int = Field(
        description="Minutes after sunset, and before sunrise, that unlit ground is usable."
    )
    way_in: str
    parking: str
    pitches: list[PitchValue]


class VenueLeaf(Value):
    """A leaf of venues, in the club's order."""

    model_config = example(items=[_VENUE], next=None)

    items: list[VenueValue]
    next: str | None = Field(description="The cursor of the leaf after; none after the last.")


class GroundProperties(Value):
    """What a feature of a map is."""

    model_config = example(**_PROPERTIES)

    role: Literal["pitch", "area"] = Field(description="A whole pitch, or a part of one.")
    place: Place
    name: str
    surface: str
    is_lit: bool
    is_indoor: bool
    area_m2: float


class PolygonValue(Value):
    """An outline with its holes (RFC 7946, section 3.1.6)."""

    model_config = example(
        type="Polygon",
        coordinates=[[[-1.2, 52.9], [-1.199, 52.9], [-1.199, 52.901], [-1.2, 52.9]]],
    )

    type: Literal["Polygon"]
    coordinates: list[list[tuple[float, float]]] = Field(description="Longitude, then latitude.")


class GroundFeature(Value):
    """A pitch or a part of one on a map."""

    model_config = example(type="Feature", properties=_PROPERTIES, geometry=None)

    type: Literal["Feature"]
    properties: GroundProperties
    geometry: PolygonValue | None = Field(description="None where nobody has said where it lies.")


class GroundMap(Value):
    """A venue's ground as GeoJSON (RFC 7946)."""

    model_config = example(type="FeatureCollection", features=[])

    type: Literal["FeatureCollection"]
    features: list[GroundFeature]


class FreeQuery(Value):
    """What ground is looked for."""

    since: Instant = Field(description="No start before it.")
    until: Instant = Field(description="No end after it; at most 24 hours later.")
    minutes: int = Field(ge=15, le=1440, description="How long.")
    squad: ShortWords = Field(
        "", description="For which squad; for somebody from outside if left out."
    )
    venue: ShortWords = Field("", description="Key of the venue; anywhere if left out.")
    least_m2: float = Field(0.0, ge=0, le=100_000, description="At least so large.")
    limit: int = Field(20, ge=1, le=100, description="How many at most.")


class FreeValue(Value):
    """A place that is free."""

    model_config = example(**_FREE)

    place: Place
    name: str
    venue: str
    starts_at: Moment
    ends_at: Moment
    area_m2: float


class FreeList(Value):
    """Free places, the earliest first; on equal times the smallest."""

    model_config = example(items=[_FREE])

    items: list[FreeValue]


@operation("GET", "/venues", answer=VenueLeaf, query=LeafQuery)
@for_signed_in
def list_all_venues(query: LeafQuery) -> VenueLeaf:
    """List venues with their pitches and parts, in the club's order."""
    found = list(enumerate(list_venues(app_state().store)))
    leaf, following = leaf_of(found, lambda one: (one[0],), query, (int,))
    return VenueLeaf(items=[_venue(venue) for _place, venue in leaf], next=following)


@operation("GET", "/venues/<key>", answer=VenueValue)
@for_signed_in
def show_venue(key: str) -> VenueValue:
    """Show one venue with its pitches and parts."""
    return _venue(see_venue(app_state().store, key))


@operation("GET", "/venues/<key>/ground", answer=GroundMap, media_type="application/geo+json")
@for_signed_in
def map_ground(key: str) -> GroundMap:
    """Show where a venue's pitches and their parts lie, as GeoJSON (RFC 7946)."""
    features = map_venue(see_venue(app_state().store, key))
    return GroundMap(type="FeatureCollection", features=[_feature(one) for one in features])


@operation("GET", "/free-places", answer=FreeList, query=FreeQuery)
@for_signed_in
def find_free_ground(query: FreeQuery) -> FreeList:
    """Find ground that nobody holds and on which no rule stands in the way.

    For a squad the rules about it count as well, and the kind of ground that it usually asks for.
    """
    state, person = app_state(), signed_in_person()
    if query.squad and not person.keeps_squads and query.squad not in person.squad_keys:
        raise RefusedError(_("Look for ground for your own squads, or for nobody in particular."))
    wish = FreeWish(
        during_at(query.since, query.until, "until"),
        query.minutes,
        query.squad,
        query.venue,
        query.least_m2,
        query.limit,
    )
    zone = club_zone(state.store)
    return FreeList(
        items=[
            FreeValue(
                place=Place(pitch=one.pitch_key, area=one.area_key),
                name=one.name,
                venue=one.venue_name,
                starts_at=in_zone(one.during.starts_at, zone),
                ends_at=in_zone(one.during.ends_at, zone),
                area_m2=round(one.area_m2, 1),
            )
            for one in find_free_places(state.store, wish, state.clock())
        ]
    )


def _venue(venue: Venue) -> VenueValue:
    lights = venue.lights_off_min
    return VenueValue(
        key=venue.key,
        name=venue.name,
        address=venue.address,
        lon=venue.lon,
        lat=venue.lat,
        opening=[
            WindowValue(
                weekday=WEEKDAY_WORDS[one.weekday],
                starts=clock_from_minute(one.start_min),
                ends=clock_from_minute(one.end_min),
            )
            for one in venue.opening
        ],
        lights_off=None if lights is None else clock_from_minute(lights),
        dusk_margin_minutes=venue.dusk_margin_minutes,
        way_in=venue.way_in,
        parking=venue.parking,
        pitches=[_pitch(one) for one in venue.pitches],
    )


def _pitch(pitch: Pitch) -> PitchValue:
    areas = [
        AreaValue(key=area.key, name=area.name, area_m2=round(area.area_m2, 1))
        for area in pitch.areas
    ]
    return PitchValue(
        key=pitch.key,
        name=pitch.name,
        **_kind(pitch),
        area_m2=round(pitch.polygon.area, 1),
        areas=areas,
    )


def _kind(pitch: Pitch) -> dict[str, Any]:
    return {
        "surface": str(pitch.surface),
        "is_lit": pitch.is_lit,
        "is_indoor": pitch.is_indoor,
    }


def _feature(one: MapFeature) -> GroundFeature:
    is_whole = one.area.cut == "whole"
    return GroundFeature(
        type="Feature",
        properties=GroundProperties(
            role="pitch" if is_whole else "area",
            place=Place(pitch=one.pitch.key, area=one.area.key),
            name=one.pitch.name if is_whole else one.area.name,
            **_kind(one.pitch),
            area_m2=round(one.area.area_m2, 1),
        ),
        geometry=PolygonValue(type="Polygon", coordinates=[list(ring) for ring in one.rings])
        if one.rings
        else None,
    )
