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

from sqlalchemy import func, or_, select

from clubplanner.config import Config, MailServer
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.club.told.notices import SETTLE, QuietHours
from clubplanner.domain.times.times import range_from_wall
from clubplanner.errors import PlannerError
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.calendars.feeds import build_feed
from clubplanner.services.mails.sending.answers import Fate
from clubplanner.services.mails.sending.delivering import deliver
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.rows.bookings.booking_rows import BookingWish, insert_booking
from clubplanner.services.rows.coach_rows import coaches_of
from clubplanner.services.rows.snapshot import WITH_NAMES
from clubplanner.services.setup.squads.forms import save_squad, see_squad_form
from clubplanner.services.share_out.tonight.shared_out import Tonight, propose_tonight
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.engine import open_store
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.season_tables import ChangeRow, ClosureRow
from clubplanner.store.upkeep.migrate import migrate
from tests.builders import A_WEDNESDAY, LONDON, NOW
from tests.small_club import find_area_id, find_squad_id, load_small_club, pitch_feature
from tests.world.calendars import StubbornCalendar

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date
    from email.message import EmailMessage

    from clubplanner.domain.club.persons.coaches import Coach

SQUADS = """\
squad,age group,players,goalkeepers,coach,coach e-mail,sessions a week,minutes,possible,least ground
U10 Larks,U10,12,1,Robin Hale,robin@alderby.example,2,60,Mon-Fri 17:00-21:00,third
U12 Kestrels,U12,14,1,Robin Hale,robin@alderby.example,2,60,Mon-Fri 17:00-21:00,third
U14 Harriers,U14,16,2,Sam Reed,sam@alderby.example,2,60,Mon-Fri 17:00-21:00,third
U16 Merlins,U16,16,2,Ash Wells,,2,60,Mon-Fri 17:00-21:00,third
"""
KEYS = ("u10-larks", "u12-kestrels", "u14-harriers", "u16-merlins")
"""One coach has two squads, one has one, and of one no address is kept."""
COACHES = ("Robin Hale", "Sam Reed", "Ash Wells")
PARENT, HOLDER = "jo@home.example", "Jo"
TOP, LOW = "marsh-lane-top-pitch", "marsh-lane-low-pitch"
PARTS = tuple((pitch, f"third-{n}") for pitch in (TOP, LOW) for n in (1, 2, 3))
PITCHES = tuple(
    pitch_feature(name, 100, 64, surface="artificial", floodlights=True)
    for name in ("Top pitch", "Low pitch")
)
ADDRESS = "https://pitches.example"
NOBODY_SLEEPS = QuietHours(time(0), time(0))
SERVER = MailServer("127.0.0.1", 25, "none", "", "", "pitches@alderby.example")
CONFIG = Config("", ADDRESS, mail_server=SERVER, quiet=NOBODY_SLEEPS)
LITTLE = Effort(seconds=0.2)


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
    """Somebody with an address: what it is about, and the calendar that follows it.

    Attributes:
        kind: Whether it is about a squad or a coach.
        subject: The number of the squad or the person, whatever they are called by now.
        secret: The secret part of the address.
        calendar: Fetches the feed, and takes only what is newer.
    """

    kind: LinkKind
    subject: int
    secret: str
    calendar: StubbornCalendar = field(default_factory=StubbornCalendar)

    def follows(self, one: Standing) -> bool:
        """Tell whether a session is among those that the address is about."""
        if self.kind is LinkKind.SQUAD:
            return self.subject == one.squad_id
        return any(coach.number == self.subject for coach in one.coaches)


@dataclass(frozen=True, slots=True)
class Standing:
    """A session as it stands in the books.

    Attributes:
        number: The booking's.
        sequence: Its count.
        squad_id: The squad's number.
        squad: The squad's key.
        name: The squad's name.
        coaches: Of the squad, the first one first.
        cells: The ground of its area.
        words: What the place of it must name.
    """

    number: int
    uid: str
    sequence: int
    squad_id: int
    squad: str
    name: str
    coaches: tuple[Coach, ...]
    starts_at: datetime
    ends_at: datetime
    area_id: int
    cells: int
    words: tuple[str, str]
    is_withdrawn: bool

    @property
    def spot(self) -> tuple[int, datetime, datetime]:
        """Where and when it is."""
        return self.area_id, self.starts_at, self.ends_at


@dataclass(frozen=True, slots=True)
class News:
    """Something that was done.

    Attributes:
        at: When.
        numbers: Of the changes in the journal.
        changed: Sessions as they were and as they are, those that a squad notices.
    """

    at: datetime
    numbers: tuple[int, ...]
    changed: tuple[tuple[Standing | None, Standing], ...]


class World:
    """The club, its present instant, and what was sent to whom.

    Attributes:
        now: The present instant; every step takes at least half a minute.
        inboxes: By mail address, what its calendar knows from mails alone.
        followers: Everybody who follows a feed.
        planned: Where and when each session was made, by number.
        made: When sessions were made that were not there at first.
        called_off: When sessions were last withdrawn.
        news: What was done since mails last went out.
        before: The last change before anybody did anything: that addresses were handed out.
    """

    def __init__(self) -> None:
        self._folder = Path(tempfile.mkdtemp(prefix="lived-"))
        shutil.copy(_template(), self._folder / "club.sqlite")
        self.store = open_store(f"sqlite:///{self._folder / 'club.sqlite'}")
        self.now = datetime.combine(A_WEDNESDAY, time(9, 0, 7, 482_193), UTC)
        self.inboxes: dict[str, StubbornCalendar] = defaultdict(StubbornCalendar)
        squads = {one.squad: one for one in self.standing()}
        people = {one.coaches[0].name: one.coaches[0].number for one in squads.values()}
        self.followers = [self._follow(LinkKind.SQUAD, k, squads[k].squad_id) for k in KEYS]
        self.followers += [self._follow(LinkKind.COACH, n, people[n]) for n in COACHES]
        self._follow(LinkKind.SQUAD, KEYS[2], squads[KEYS[2]].squad_id, PARENT)
        self.parents_of = squads[KEYS[2]].squad_id
        self.planned = {one.number: one.spot for one in self.standing()}
        self.made: dict[int, datetime] = {}
        self.called_off: dict[int, datetime] = {}
        self.news: list[News] = []
        self.before = self._last_change()

    def end(self) -> None:
        """Close the database and leave nothing behind."""
        self.store.close()
        shutil.rmtree(self._folder)

    def _follow(self, kind: LinkKind, subject: str, number: int, email: str = "") -> Follower:
        holder = HOLDER if email else f"Follower of {subject}"
        made = create_link(self.store, LinkWish(kind, subject, holder, email), NOW)
        return Follower(kind, number, made.path.rsplit("/", 1)[1])

    def do(self, act: Callable[[], object]) -> bool:
        """Let somebody try something; what is refused in words changes nothing."""
        self.now += timedelta(seconds=31, microseconds=7)
        before, last = {one.number: one for one in self.standing()}, self._last_change()
        try:
            act()
        except PlannerError:
            assert self.standing() == list(before.values()), "refused, and yet something is done"
            return False
        after = self.standing()
        for one in after:
            self.planned.setdefault(one.number, one.spot)
            if one.number not in before:
                self.made[one.number] = self.now
            if one.is_withdrawn and not before.get(one.number, one).is_withdrawn:
                self.called_off[one.number] = self.now
        pairs = [(before.get(one.number), one) for one in after]
        changed = tuple(pair for pair in pairs if differs(*pair))
        numbers = tuple(range(last + 1, self._last_change() + 1))
        self.news.append(News(self.now, numbers, changed))
        return True

    def _last_change(self) -> int:
        with self.store.read() as session:
            return session.scalar(select(func.max(ChangeRow.id))) or 0

    def save_squad(self, key: str, coach_is: str = "", **cells: str) -> None:
        """Let the secretary change cells of a squad's form."""
        form = see_squad_form(self.store, key)
        squad = {**form.squad, **{name.replace("_", " "): text for name, text in cells.items()}}
        squad["coach e-mail"] = squad.pop("coach email", squad["coach e-mail"])
        save_squad(self.store, key, squad, form.asks, form.seen, self.now, coach_is)

    def share_out(self, day: date) -> None:
        """Let the secretary share an evening out and publish it."""
        number = propose_tonight(self.store, Tonight(day), LITTLE, self.now)
        publish_share_out(self.store, number, self.now)

    def standing(self) -> list[Standing]:
        """Return every training, withdrawn or not, by number."""
        with self.store.read() as session:
            coaches = coaches_of(session)
            rows = session.scalars(
                select(BookingRow)
                .where(BookingRow.purpose == Purpose.TRAINING, BookingRow.squad_id.is_not(None))
                .order_by(BookingRow.id)
                .options(*WITH_NAMES)
            )
            return [
                Standing(
                    row.id,
                    row.uid,
                    row.sequence,
                    row.squad.id,
                    row.squad.key,
                    row.squad.name,
                    coaches[row.squad.id],
                    row.starts_at,
                    row.ends_at,
                    row.area_id,
                    row.cells,
                    (row.area.name, row.pitch.name),
                    row.is_withdrawn,
                )
                for row in rows
                if row.squad is not None
            ]

    def live(self) -> list[Standing]:
        """Return what is on and not over."""
        return [one for one in self.standing() if not one.is_withdrawn and one.ends_at > self.now]

    def ahead(self) -> list[Standing]:
        """Return what is not over, on or not."""
        return [one for one in self.standing() if one.ends_at > self.now]

    def state_of(self, one: Standing) -> str:
        """Return in a word what is true of a session, from where it was made and the ground."""
        if one.is_withdrawn:
            return "off"
        if one.spot != self.planned[one.number] or self._stands_in(one):
            return "moved"
        with self.store.read() as session:
            asks = session.scalars(
                select(ClosureRow)
                .join(ClosureRow.area)
                .where(
                    ClosureRow.condition != Condition.CLOSED.value,
                    ClosureRow.starts_at < one.ends_at,
                    ClosureRow.ends_at > one.starts_at,
                    or_(
                        ClosureRow.lifted_at.is_(None),
                        (ClosureRow.lifted_at > one.starts_at)
                        & (ClosureRow.lifted_at > ClosureRow.starts_at),
                    ),
                    BookingRow.id == one.number,
                    AreaRow.pitch_id == BookingRow.pitch_id,
                    AreaRow.cells.op("&")(BookingRow.cells) != 0,
                )
            ).first()
        return "on" if asks is None else "limited"

    def _stands_in(self, one: Standing) -> bool:
        """Tell whether a session was made after another of that date had been called off."""
        return one.number in self.made and any(
            other.is_withdrawn
            and other.squad_id == one.squad_id
            and self.planned[other.number][1].date() == one.starts_at.date()
            and self.called_off[other.number] < self.made[one.number]
            for other in self.standing()
        )

    def tell(self) -> None:
        """Let the go of changes be over, and the worker send what is due."""
        self.now += 2 * SETTLE
        deliver(self.store, CONFIG, lambda: self.now, at_once=True, send=self._take)

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


def differs(before: Standing | None, after: Standing) -> bool:
    """Tell whether a squad notices a change of a session."""
    if before is None:
        return not after.is_withdrawn
    if before.is_withdrawn and after.is_withdrawn:
        return False
    return before.spot != after.spot or before.is_withdrawn != after.is_withdrawn
