"""A squad's calendar feed and the area maps it links to."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import or_, select

from clubplanner.errors import MissingError
from clubplanner.outputs.feed import Feed, feed_digest, write_feed
from clubplanner.outputs.ground_plan import draw_ground_plan
from clubplanner.outputs.picture import png_from_svg
from clubplanner.resources import font_files
from clubplanner.services.feed_events import EventMaker
from clubplanner.services.ground_page import find_pitch
from clubplanner.services.links import squad_of_secret
from clubplanner.services.neighbours import neighbours_of
from clubplanner.services.plans import plan_for_squad
from clubplanner.services.snapshot import (
    WITH_NAMES,
    booking_from_row,
    load_bookings,
    load_club,
    load_venues,
)
from clubplanner.store.tables import BookingRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.services.links import OwnSquad
    from clubplanner.store.engine import Store
    from clubplanner.store.tables import SquadRow

KEPT_DAYS = 365
"""How long past bookings stay in a feed."""
PICTURE_WIDTH_PX = 1080
"""Three pixels a unit: sharp on a phone."""


@dataclass(frozen=True, slots=True)
class FeedFile:
    """A feed ready to send.

    Attributes:
        name: A file name.
        data: The iCalendar file.
        digest: Changes when, and only when, something in the feed does.
    """

    name: str
    data: bytes
    digest: str


def build_feed(store: Store, secret: str, public_address: str, now: datetime) -> FeedFile:
    """Build the feed behind a squad's address.

    Args:
        store: The database.
        secret: The secret part of the address.
        public_address: How people reach the pages, without a slash at the end.
        now: The present instant: withdrawn bookings stay until their time has passed.

    Raises:
        MissingError: If the address is not in use.
    """
    with store.read() as session:
        squad = squad_of_secret(session, secret)
        feed = _feed_of_squad(session, squad, f"{public_address}/ground/{secret}", now)
        name = f"{squad.key}.ics"
    return FeedFile(name, write_feed(feed), feed_digest(feed))


def draw_area_map(store: Store, secret: str | OwnSquad, number: int) -> bytes:
    """Draw the map of one booking as a PNG: the same drawing as on the page.

    Raises:
        MissingError: If the address is not in use or the booking is not this squad's.
    """
    with store.read() as session:
        squad = squad_of_secret(session, secret)
        row = session.get(BookingRow, number, options=WITH_NAMES)
        if row is None or row.squad_id != squad.id:
            raise MissingError("This squad has no such booking.")
        own = booking_from_row(row)
        zone = load_club(session).time_zone
        pitch = find_pitch(load_venues(session), own.pitch_key)[1]
        others = [b for b in load_bookings(session, own.during) if b.number != own.number]
    neighbours = [n.booking for n in neighbours_of(pitch, own, others)]
    svg = draw_ground_plan(plan_for_squad(pitch, own, neighbours, zone))
    return png_from_svg(svg, PICTURE_WIDTH_PX, font_files())


def _feed_of_squad(session: Session, squad: SquadRow, address: str, now: datetime) -> Feed:
    club = load_club(session)
    rows = session.scalars(
        select(BookingRow)
        .where(
            BookingRow.squad_id == squad.id,
            BookingRow.ends_at > now - timedelta(days=KEPT_DAYS),
            or_(BookingRow.is_withdrawn.is_(False), BookingRow.ends_at > now),
        )
        .options(*WITH_NAMES)
    )
    maker = EventMaker(load_venues(session), club.time_zone, address)
    events = tuple(maker.event_of(booking_from_row(row)) for row in rows)
    return Feed(f"{squad.name}, {club.name}", club.zone, f"{address}/sessions.ics", events)
