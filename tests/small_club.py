"""A small invented club whose figures tests may rely on, and ways to put bookings in its books.

Alderby Rovers play at Marsh Lane: a lit pitch of 100 × 64 m, an unlit one of 60 × 40 m, and a hall
of 30 × 20 m. Two squads: U12 Kestrels (14 players, one of them in goal) and U14 Harriers.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import TimeRange, range_from_wall
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.rows.bookings.booking_rows import BookingWish, insert_booking
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.squad_tables import SquadRow
from tests.builders import A_WEDNESDAY, LONDON, NOW
from tests.loaded import load_once

if TYPE_CHECKING:
    from datetime import date, datetime

    from clubplanner.store.engine import Store

KESTRELS, HARRIERS = "u12-kestrels", "u14-harriers"
TOP, LOW, HALL = "marsh-lane-top-pitch", "marsh-lane-low-pitch", "marsh-lane-hall"

SETTINGS = """
[club]
name = "Alderby Rovers"
time_zone = "Europe/London"
step_minutes = 15

[[venues]]
name = "Marsh Lane"
address = "Marsh Lane, Alderby"
lon = -1.2
lat = 52.9
opening = "Mon-Fri 17:00-22:00; Sat-Sun 09:00-18:00"
lights_off = "21:30"
dusk_margin_minutes = 10

[[stretches]]
name = "Winter"
starts = 2026-10-12
ends = 2027-04-09

[[breaks]]
name = "Christmas"
starts = 2026-12-21
ends = 2027-01-03
"""
NAMES = {
    "start": "Clubhouse end",
    "far": "Road end",
    "left": "Car park side",
    "right": "Brook side",
}
SQUADS = """\
squad,age group,players,goalkeepers,coach,sessions a week,minutes,possible,least ground
U12 Kestrels,U12,14,1,Robin Hale,1,75,Wed 18:00-19:15,third
U14 Harriers,U14,16,2,Sam Reed,2,60,Mon-Fri 18:00-20:00,third
"""


def pitch_feature(name: str, length_m: float, width_m: float, **properties: Any) -> dict[str, Any]:
    """Return a pitch given by its size; goals of full size at both ends."""
    values = {
        "role": "pitch",
        "name": name,
        "surface": "grass",
        "length_m": length_m,
        "width_m": width_m,
        "names": NAMES,
        "cuts": ["halves", "thirds"],
        "goals": [{"at": "both ends"}],
        **properties,
    }
    return {"type": "Feature", "properties": values, "geometry": None}


def grounds_file(*features: dict[str, Any], venue: str = "Marsh Lane") -> ClubFile:
    """Return a grounds file of Marsh Lane, or of another venue."""
    body = {"type": "FeatureCollection", "venue": venue, "features": list(features)}
    return ClubFile(f"{venue.lower().replace(' ', '-')}.geojson", json.dumps(body).encode())


PITCHES = (
    pitch_feature("Top pitch", 100, 64, surface="artificial", floodlights=True),
    pitch_feature("Low pitch", 60, 40, cuts=["halves"]),
    pitch_feature("Hall", 30, 20, surface="indoor", indoor=True, cuts=["halves"], goals=[]),
)


def small_club_files(
    *, settings: str = SETTINGS, squads: str = SQUADS, pitches: tuple[dict[str, Any], ...] = PITCHES
) -> list[ClubFile]:
    """Return the club's three files."""
    return [
        ClubFile("club.toml", settings.encode()),
        grounds_file(*pitches),
        ClubFile("squads.csv", squads.encode()),
    ]


def load_small_club(store: Store, now: datetime = NOW, **texts: Any) -> Store:
    """Load the club into a migrated store and return the store."""
    load_once(store, small_club_files(**texts), now)
    return store


def find_area_id(store: Store, pitch_key: str, area_key: str) -> int:
    """Return an area's number."""
    with store.read() as session:
        query = select(AreaRow.id).join(AreaRow.pitch)
        return session.scalars(
            query.where(PitchRow.key == pitch_key, AreaRow.key == area_key)
        ).one()


def find_squad_id(store: Store, squad_key: str) -> int:
    """Return a squad's number."""
    with store.read() as session:
        return session.scalars(select(SquadRow.id).where(SquadRow.key == squad_key)).one()


def book(
    store: Store,
    who: str = KESTRELS,
    area_key: str = "third-1",
    *,
    pitch_key: str = TOP,
    day: date = A_WEDNESDAY,
    start_min: int = 18 * 60,
    end_min: int = 19 * 60 + 15,
    purpose: Purpose = Purpose.TRAINING,
    note: str = "",
    is_fixed: bool = True,
    now: datetime = NOW,
) -> int:
    """Put a booking in the books, of a squad by its key or of anybody else by name, as a fact.

    No rule is asked, as for what a club's files say; return the number.
    """
    is_squad = who in (KESTRELS, HARRIERS)
    wish = BookingWish(
        area_id=find_area_id(store, pitch_key, area_key),
        during=range_from_wall(day, start_min, end_min, LONDON),
        purpose=purpose,
        squad_id=find_squad_id(store, who) if is_squad else None,
        holder=who,
        note=note,
        is_fixed=is_fixed,
    )
    with store.write() as session:
        return insert_booking(session, wish, now).id


@dataclass(frozen=True, slots=True)
class Kept:
    """A booking as it stands in the books."""

    uid: str
    sequence: int
    holder: str
    area: str
    during: TimeRange
    is_withdrawn: bool

    @property
    def local(self) -> tuple[date, str, str]:
        """Local date, start and end."""
        start, end = (at.astimezone(LONDON) for at in (self.during.starts_at, self.during.ends_at))
        return start.date(), f"{start:%H:%M}", f"{end:%H:%M}"


def kept_bookings(store: Store, *, withdrawn: bool = False) -> list[Kept]:
    """Return the bookings that stand, or those given back, in order of start, then squad."""
    with store.read() as session:
        rows = session.scalars(
            select(BookingRow)
            .where(BookingRow.is_withdrawn.is_(withdrawn))
            .order_by(BookingRow.starts_at, BookingRow.holder)
        )
        return [
            Kept(
                row.uid,
                row.sequence,
                row.holder,
                f"{row.pitch.key}/{row.area.key}",
                TimeRange(row.starts_at, row.ends_at),
                row.is_withdrawn,
            )
            for row in rows
        ]
