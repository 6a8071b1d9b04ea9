"""Calendar feeds of squads, coaches and pitches, and the area maps they link to."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import end_of_day, start_of_day
from clubplanner.errors import MissingError
from clubplanner.language import _, speaking
from clubplanner.outputs.calendars.feed import Feed, feed_digest, write_feed
from clubplanner.outputs.drawings.caption import with_caption
from clubplanner.outputs.drawings.picture import PICTURE_WIDTH_PX, png_from_svg
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from clubplanner.resources import font_files
from clubplanner.services.addresses.links import OwnSquad, link_of_secret
from clubplanner.services.calendars.calendar_links import LinkKind, find_subject
from clubplanner.services.calendars.feed_events import EventMaker
from clubplanner.services.calendars.feed_subjects import (
    Entry,
    entries_of,
    load_followers,
    subject_of,
    subject_of_squad,
)
from clubplanner.services.rows.named import find_pitch, find_squad
from clubplanner.services.rows.snapshot import (
    WITH_NAMES,
    booking_from_row,
    load_bookings,
    load_club,
    load_venues,
)
from clubplanner.services.showing.ground.neighbours import neighbours_of
from clubplanner.services.showing.ground.plans import caption_of, plan_for_squad
from clubplanner.services.showing.states.session_states import load_states
from clubplanner.services.showing.states.squad_endings import ending_of
from clubplanner.services.showing.states.state_shown import StateTeller
from clubplanner.store.stand import read_stand
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.services.calendars.feed_subjects import FeedSubject
    from clubplanner.store.engine import Store

KEPT_DAYS = 365
"""How long past bookings stay in a feed."""
COLOUR = "seagreen"
"""Of the calendar, where a program shows it (RFC 7986, section 5.9)."""


@dataclass(frozen=True, slots=True)
class FeedFile:
    """A feed ready to be written.

    Attributes:
        name: A file name.
        digest: Changes when, and only when, something in the feed does.
        feed: What is in it.
        stand: The count of changes that it shows.
        valid_until: When a booking leaves it by the mere passing of time; None for never.
        language: What it is written in: the club's.
    """

    name: str
    digest: str
    feed: Feed
    stand: int
    valid_until: datetime | None
    language: str

    @property
    def data(self) -> bytes:
        """The iCalendar file, written anew each time it is asked for."""
        with speaking(self.language):
            return write_feed(self.feed)


def build_feed(store: Store, secret: str, public_address: str, now: datetime) -> FeedFile:
    """Build the feed behind an address.

    Args:
        store: The database.
        secret: The secret part of the address.
        public_address: How people reach the pages, without a slash at the end.
        now: The present instant: withdrawn bookings stay until their day is over.

    Raises:
        MissingError: If the address is not in use.
    """
    with store.read_kept() as session:
        link = link_of_secret(session, secret)
        subject = subject_of(link)
        page_url = f"{public_address}/{subject.page}/{secret}"
        known = _known(session, subject, now, page_url)
    return _feed_file(known, subject, now, link.reminder_minutes)


def export_feed(store: Store, kind: LinkKind, words: str, now: datetime) -> FeedFile:
    """Build a calendar as it stands, that leads to no page: no address is made for it.

    Its entries are those behind an address, so that a program which takes in both has each once.

    Args:
        store: The database.
        kind: What it is about.
        words: Key or name of the squad or pitch; the coach's name, e-mail or number.
        now: The present instant.

    Raises:
        MissingError: If there is no such squad, coach or pitch; naming those there are.
    """
    with store.read_kept() as session:
        subject = find_subject(session, kind, words)
        known = _known(session, subject, now, page_url=None)
    return _feed_file(known, subject, now, reminder_minutes=None)


@dataclass(frozen=True, slots=True)
class _Known:
    """What the records know of a calendar."""

    club: ClubSettings
    stand: int
    entries: list[Entry]
    maker: EventMaker
    ending: str


def _known(session: Session, subject: FeedSubject, now: datetime, page_url: str | None) -> _Known:
    stand = read_stand(session)
    club = load_club(session)
    since = now - timedelta(days=KEPT_DAYS)
    entries = entries_of(session, subject, since, start_of_day(now, club.time_zone))
    venues = load_venues(session)
    maker = EventMaker(
        venues,
        club.time_zone,
        page_url,
        subject.uid_prefix,
        load_followers(session, subject.condition, since),
        load_states(session, [one.now for one in entries], venues, club.time_zone),
    )
    ending = ""
    if subject.squad_id is not None:
        with speaking(club.language):
            ending = ending_of(session, session.get_one(SquadRow, subject.squad_id))
    return _Known(club, stand, entries, maker, ending)


def _feed_file(
    known: _Known, subject: FeedSubject, now: datetime, reminder_minutes: int | None
) -> FeedFile:
    club, page_url = known.club, known.maker.page_url
    with speaking(club.language):
        feed = Feed(
            name=f"{subject.name}, {club.name}",
            zone=club.zone,
            source_url=None if page_url is None else f"{page_url}/{subject.file}",
            events=tuple(
                known.maker.event_of(one.booking, one.elsewhere, is_left=one.is_left)
                for one in known.entries
            ),
            colour=COLOUR,
            reminder_minutes=reminder_minutes,
            description=known.ending,
        )
        digest = feed_digest(feed)
    kept = timedelta(days=KEPT_DAYS)
    leaves = [
        end_of_day(b.during.ends_at, club.time_zone) if b.is_withdrawn else b.during.ends_at + kept
        for b in (one.booking for one in known.entries)
    ]
    return FeedFile(
        f"{subject.stem}.ics",
        digest,
        feed,
        known.stand,
        min((at for at in leaves if at > now), default=None),
        club.language,
    )


def draw_area_map(store: Store, secret: str | OwnSquad, number: int) -> bytes:
    """Draw the map of one booking as a PNG: the drawing of the page under who, when and where.

    Raises:
        MissingError: If the address is not in use or is not about this booking.
    """
    with store.read() as session:
        if isinstance(secret, OwnSquad):
            subject = subject_of_squad(find_squad(session, secret.key))
        else:
            subject = subject_of(link_of_secret(session, secret))
        row = session.get(BookingRow, number, options=WITH_NAMES)
        if row is None or not subject.covers(row):
            raise MissingError(_("There is no such booking behind this address."))
        own = booking_from_row(row)
        club = load_club(session)
        zone = club.time_zone
        venues = load_venues(session)
        states = load_states(session, [own], venues, zone)
        place = find_pitch(venues, own.pitch_key)
        others = [b for b in load_bookings(session, own.during) if b.number != own.number]
    # a picture is kept by programs: it names no day as today's
    state = StateTeller(states, venues, zone).shown(own)
    pitch = place[1]
    plan = plan_for_squad(pitch, own, neighbours_of(pitch, own, others), zone, state)
    svg = with_caption(draw_ground_plan(plan), caption_of(own, place, club, state))
    return png_from_svg(svg, PICTURE_WIDTH_PX, font_files())
