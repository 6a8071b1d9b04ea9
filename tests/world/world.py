"""A club of four squads on two pitches, and what its people do to an evening."""

from __future__ import annotations

import shutil
import tempfile
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta
from email.utils import parseaddr
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.config import Config, MailServer
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.notices import SETTLE, QuietHours
from clubplanner.domain.times.times import range_from_wall
from clubplanner.errors import PlannerError
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.calendars.feeds import build_feed
from clubplanner.services.mails.answers import Fate
from clubplanner.services.mails.delivering import deliver
from clubplanner.services.rows.booking_rows import BookingWish, insert_booking
from clubplanner.store.engine import open_store
from clubplanner.store.migrate import migrate
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import A_WEDNESDAY, LONDON, NOW
from tests.small_club import find_area_id, find_squad_id, load_small_club, pitch_feature
from tests.world.calendars import StubbornCalendar

if TYPE_CHECKING:
    from collections.abc import Callable
    from email.message import EmailMessage

SQUADS = """\
squad,age group,players,goalkeepers,coach,coach e-mail,sessions a week,minutes,possible,least ground
U10 Larks,U10,12,1,Robin Hale,robin@alderby.example,2,60,Mon-Fri 17:00-21:00,third
U12 Kestrels,U12,14,1,Robin Hale,robin@alderby.example,2,60,Mon-Fri 17:00-21:00,third
U14 Harriers,U14,16,2,Sam Reed,sam@alderby.example,2,60,Mon-Fri 17:00-21:00,third
U16 Merlins,U16,16,2,Ash Wells,,2,60,Mon-Fri 17:00-21:00,third
"""
KEYS = ("u10-larks", "u12-kestrels", "u14-harriers", "u16-merlins")
"""One coach has two squads, one has one, and of one no address is kept."""
COACHES = {"Robin Hale": "robin@alderby.example", "Sam Reed": "sam@alderby.example"}
PARENT = "jo@home.example"
TOP, LOW = "marsh-lane-top-pitch", "marsh-lane-low-pitch"
PARTS = tuple((pitch, f"third-{n}") for pitch in (TOP, LOW) for n in (1, 2, 3))
PITCHES = tuple(
    pitch_feature(name, 100, 64, surface="artificial", floodlights=True)
    for name in ("Top pitch", "Low pitch")
)
ADDRESS = "https://pitches.example"
NOBODY_SLEEPS = QuietHours(time(0), time(0))
SERVER = MailServer("127.0.0.1", 25, "none", "", "", "pitches@alderby.example")


@cache
def _template() -> Path:
    """Make the club's database once; every world copies it."""
    path = Path(tempfile.mkdtemp(prefix="world-")) / "club.sqlite"
    store = open_store(f"sqlite:///{path}")
    migrate(store)
    load_small_club(store, squads=SQUADS, pitches=PITCHES)
    with store.write() as session:
        for days in (0, 1, 7):
            day = A_WEDNESDAY + timedelta(days=days)
            for part, key in zip(PARTS[:4], KEYS, strict=True):
                wish = BookingWish(
                    find_area_id(store, *part),
                    range_from_wall(day, 18 * 60, 19 * 60, LONDON),
                    Purpose.TRAINING,
                    find_squad_id(store, key),
                    key,
                    "",
                    is_fixed=False,
                )
                insert_booking(session, wish, NOW)
    store.close()
    return path


@dataclass(slots=True)
class Follower:
    """Somebody with an address: what it is about, and two calendars that follow it.

    Attributes:
        subject: A squad's key, or a coach's name.
        secret: The secret part of the address.
        calendar: Fetches the feed, and takes only what is newer.
    """

    subject: str
    secret: str
    calendar: StubbornCalendar = field(default_factory=StubbornCalendar)


@dataclass(frozen=True, slots=True)
class Standing:
    """A session as it stands in the books.

    Attributes:
        number: The booking's.
        sequence: Its count.
        squad: The squad's key.
        coach: The name of the squad's first coach.
        words: What the place of it must name.
    """

    number: int
    uid: str
    sequence: int
    squad: str
    coach: str
    starts_at: datetime
    ends_at: datetime
    area_id: int
    words: tuple[str, str]
    is_withdrawn: bool


class World:
    """The club, its present instant, and what was sent to whom.

    Attributes:
        now: The present instant; every step takes at least half a minute.
        inboxes: By mail address, what its calendar knows from mails alone.
        followers: Everybody who follows a feed.
    """

    def __init__(self) -> None:
        self._folder = Path(tempfile.mkdtemp(prefix="lived-"))
        shutil.copy(_template(), self._folder / "club.sqlite")
        self.store = open_store(f"sqlite:///{self._folder / 'club.sqlite'}")
        self.now = datetime.combine(A_WEDNESDAY, time(9, 0, 7, 482_193), UTC)
        self.inboxes: dict[str, StubbornCalendar] = defaultdict(StubbornCalendar)
        self.followers = [self._follow(LinkKind.SQUAD, key) for key in KEYS]
        self.followers += [self._follow(LinkKind.COACH, name) for name in COACHES]
        self._follow(LinkKind.SQUAD, KEYS[2], PARENT)

    def end(self) -> None:
        """Close the database and leave nothing behind."""
        self.store.close()
        shutil.rmtree(self._folder)

    def _follow(self, kind: LinkKind, subject: str, email: str = "") -> Follower:
        made = create_link(self.store, LinkWish(kind, subject, "Jo", email), NOW)
        return Follower(subject, made.path.rsplit("/", 1)[1])

    def do(self, act: Callable[[], object]) -> bool:
        """Let somebody try something; what is refused in words changes nothing."""
        self.now += timedelta(seconds=31, microseconds=7)
        try:
            act()
        except PlannerError:
            return False
        return True

    def standing(self) -> list[Standing]:
        """Return every training, withdrawn or not, by number."""
        with self.store.read() as session:
            rows = session.scalars(
                select(BookingRow)
                .where(BookingRow.purpose == Purpose.TRAINING, BookingRow.squad_id.is_not(None))
                .order_by(BookingRow.id)
            )
            return [
                Standing(
                    row.id,
                    row.uid,
                    row.sequence,
                    row.squad.key,
                    row.squad.coaches[0].person.name,
                    row.starts_at,
                    row.ends_at,
                    row.area_id,
                    (row.area.name, row.pitch.name),
                    row.is_withdrawn,
                )
                for row in rows
                if row.squad is not None
            ]

    def live(self) -> list[Standing]:
        """Return what is on and not over."""
        return [one for one in self.standing() if not one.is_withdrawn and one.ends_at > self.now]

    def tell(self) -> None:
        """Let the go of changes be over, and the worker send what is due."""
        self.now += 2 * SETTLE
        config = Config("", ADDRESS, mail_server=SERVER, quiet=NOBODY_SLEEPS)
        deliver(self.store, config, lambda: self.now, at_once=True, send=self._take)

    def _take(self, _server: MailServer, message: EmailMessage, _to: str) -> tuple[Fate, str]:
        address = parseaddr(str(message["To"]))[1]
        for part in message.walk():
            if part.get_content_type() == "text/calendar":
                self.inboxes[address].take(part.get_payload(decode=True))  # type: ignore[arg-type]
        return Fate.TAKEN, ""

    def fetch(self, follower: Follower) -> None:
        """Let a calendar fetch its feed."""
        feed = build_feed(self.store, follower.secret, ADDRESS, self.now)
        follower.calendar.take(feed.data)
