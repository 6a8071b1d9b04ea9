"""How somebody knows of a change: by a mail that went out, by a page or calendar they had."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from enum import Enum
from typing import TYPE_CHECKING

from sqlalchemy import or_, select
from sqlalchemy.orm import joinedload

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.club.told.notices import LONGEST_SETTLE
from clubplanner.domain.times.times import clock_in_zone, short_day
from clubplanner.language import _
from clubplanner.services.mails.making.contents import change_from_stored
from clubplanner.services.mails.sending.pauses import find_pause
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.tables.knowing_tables import LookRow, MailedRow
from clubplanner.store.tables.notice_tables import MailRow, MailState
from clubplanner.store.tables.people_tables import BrowserRow, PersonRow
from clubplanner.store.tables.push_tables import PushReaderRow, PushRow, PushState

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.config import Config
    from clubplanner.services.addresses.recipients import Recipients

REGULARLY = timedelta(days=7)
"""Whose page or calendar was had within this is expected to have it again."""
WHILE_WRITING = timedelta(seconds=30)
"""A look so shortly after a change may have been before it was written."""
OF_USE = timedelta(days=30)
"""Looks longer ago than this say nothing."""


class Way(Enum):
    """How somebody knows."""

    MAIL = "mail"
    CALENDAR = "calendar"
    NONE = "none"


@dataclass(slots=True)
class Changed:
    """What was changed of one squad.

    Attributes:
        last_at: When the last of it was.
        counts: Booking number → the count it has since.
        wanted: Numbers of the bookings that go by mail to everybody: soon, or asked for.
    """

    last_at: datetime
    counts: dict[int, int] = field(default_factory=dict)
    wanted: set[int] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one person knows of one squad's changes.

    Attributes:
        name: Who.
        address: Their mail address in small letters; blank for none.
        phone: Their number; blank for none.
        answers: Whether they look after the squad, so that they are rung if nothing reaches them.
        way: How they know.
        words: The same as a clause; why they do not, as a sentence.
    """

    name: str
    address: str
    phone: str
    answers: bool
    way: Way
    words: str


@dataclass(frozen=True, slots=True)
class _Look:
    """When somebody who goes by these names last had page or calendar of these squads.

    Or when their phone was told.
    """

    names: frozenset[str]
    squads: frozenset[int]
    coach: int | None
    page_at: datetime | None
    feed_at: datetime | None
    phone_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Evidence:
    """All that is known about who knows.

    Attributes:
        changed: What was changed, by squad.
        people: Who is written to.
        blocked: Why no mail goes out at all; blank while some do.
        mailed: What mail servers took: address and booking → count and when.
        mails: The newest mail of a booking to an address: its count, state and words.
        looks: Who had what.
        zone: The club's.
        now: The present instant.
    """

    changed: Mapping[int, Changed]
    people: Recipients
    blocked: str
    mailed: Mapping[tuple[str, int], tuple[int, datetime]]
    mails: Mapping[tuple[str, int], tuple[int, MailState, str]]
    looks: Sequence[_Look]
    zone: ZoneInfo
    now: datetime

    @classmethod
    def load(
        cls,
        session: Session,
        config: Config,
        people: Recipients,
        changed: Mapping[int, Changed],
        now: datetime,
    ) -> Evidence:
        """Load it: as many statements whatever was changed."""
        blocked = ""
        if config.mail_server is None:
            blocked = _("Mail is not set up.")
        elif find_pause(session) is not None:
            blocked = _("The mail server takes no mails at the moment.")
        since = min(one.last_at for one in changed.values())
        mailed = session.execute(
            select(
                MailedRow.address, MailedRow.booking_id, MailedRow.sequence, MailedRow.mailed_at
            ).where(MailedRow.ends_at > now)
        )
        return cls(
            changed,
            people,
            blocked,
            {(row[0], row[1]): (row[2], row[3]) for row in mailed},
            _mails(session, since),
            [*_looks(session, now), *_phones(session, since)],
            load_zone(session),
            now,
        )

    def about(self, squad_id: int) -> Iterator[Verdict]:
        """Yield what each person knows of a squad's changes: its own people first."""
        links = list(self.people.links_of(squad_id))
        seen = set()
        for contact in self.people.contacts.get(squad_id, ()):
            names = {plain_name(contact.name), contact.email.lower()} - {""}
            seen |= names
            way, words = self._judge(squad_id, contact.email.lower(), names)
            yield Verdict(contact.name, contact.email.lower(), contact.phone, True, way, words)
        for link in links:
            names = {plain_name(link.holder), link.email.lower()} - {""}
            if not names & seen:
                seen |= names
                way, words = self._judge(squad_id, link.email.lower(), names)
                yield Verdict(link.holder, link.email.lower(), "", False, way, words)

    def _judge(self, squad_id: int, address: str, names: set[str]) -> tuple[Way, str]:
        changed = self.changed[squad_id]
        by_mail = {
            number: count
            for number, count in changed.counts.items()
            if number in changed.wanted or (address, number) in self.mailed
        }
        why = ""
        if by_mail:
            why, words = self._by_mail(address, by_mail, changed)
            if not why:
                return Way.MAIL, words
        words = self._by_looking(squad_id, names, changed, is_soon=bool(changed.wanted))
        if words:
            return Way.CALENDAR, words
        return Way.NONE, why or _("Their calendar has not been fetched lately.")

    def _by_mail(
        self, address: str, counts: Mapping[int, int], changed: Changed
    ) -> tuple[str, str]:
        """Return why mail does not tell somebody, blank if it does; and how it does."""
        if not address:
            return _("No mail address is noted."), ""
        if address in self.people.off:
            return _("They turned mails off."), ""
        last: datetime | None = None
        is_waiting = False
        for number, count in counts.items():
            taken, at = self.mailed.get((address, number), (-1, None))
            if taken >= count and at is not None:
                last = at if last is None else max(last, at)
                continue
            made, state, words = self.mails.get((address, number), (-1, None, ""))
            if made >= count and state not in (MailState.WAITING, MailState.SENT):
                return words, ""
            if self.blocked:
                return self.blocked, ""
            if made < count and self.now > changed.last_at + LONGEST_SETTLE * 2:
                return _("Nothing was mailed to them."), ""
            is_waiting = True
        if is_waiting or last is None:
            return "", _("a mail is on its way")
        return "", _("mailed %(when)s", when=self._when(last))

    def _by_looking(
        self, squad_id: int, names: set[str], changed: Changed, *, is_soon: bool
    ) -> str:
        """Return how somebody sees it in page or calendar; blank if they may not."""
        coaches = {one.number for one in self.people.contacts.get(squad_id, ())}
        own = [
            look
            for look in self.looks
            if look.names & names and (squad_id in look.squads or look.coach in coaches)
        ]
        phones = [look.phone_at for look in own if look.phone_at is not None]
        if phones and max(phones) >= changed.last_at:
            return _("told on their phone, %(when)s", when=self._when(max(phones)))
        pages = [look.page_at for look in own if look.page_at is not None]
        feeds = [look.feed_at for look in own if look.feed_at is not None]
        last = max(pages + feeds, default=None)
        if last is None:
            return ""
        if last >= changed.last_at + WHILE_WRITING:
            return _("has had it since, %(when)s", when=self._when(last))
        if is_soon or last < self.now - REGULARLY:
            return ""
        if feeds and last in feeds:
            return _("their calendar fetches it, last %(when)s", when=self._when(last))
        return _("looks at the page, last %(when)s", when=self._when(last))

    def _when(self, instant: datetime) -> str:
        day = short_day(instant.astimezone(self.zone).date())
        return f"{day}, {clock_in_zone(instant, self.zone)}"


def _mails(session: Session, since: datetime) -> dict[tuple[str, int], tuple[int, MailState, str]]:
    """Return the newest mail about each booking to each address."""
    found: dict[tuple[str, int], tuple[int, MailState, str]] = {}
    query = select(MailRow).where(MailRow.made_at >= since).order_by(MailRow.id)
    for mail in session.scalars(query):
        for change in map(change_from_stored, mail.changes):
            key = (mail.address.lower(), change.number)
            found[key] = (change.sequence, mail.state, mail.words)
    return found


def _looks(session: Session, now: datetime) -> list[_Look]:
    of_use = or_(LookRow.page_at > now - OF_USE, LookRow.feed_at > now - OF_USE)
    rows = session.scalars(
        select(LookRow)
        .where(of_use)
        .options(
            joinedload(LookRow.link),
            joinedload(LookRow.person).selectinload(PersonRow.squads),
        )
    ).all()
    if not rows:
        return []
    numbers = [row.link.mail_id for row in rows if row.link is not None and row.link.mail_id]
    addresses = dict(
        session.execute(select(MailRow.id, MailRow.address).where(MailRow.id.in_(numbers))).all()
    )
    return [_look(row, addresses) for row in rows]


def _phones(session: Session, since: datetime) -> Iterator[_Look]:
    """Yield whose phone was told of a squad's sessions."""
    rows = session.scalars(
        select(PushRow)
        .where(PushRow.state == PushState.SENT, PushRow.ended_at >= since)
        .options(
            joinedload(PushRow.reader).joinedload(PushReaderRow.link),
            joinedload(PushRow.reader)
            .joinedload(PushReaderRow.browser)
            .joinedload(BrowserRow.person),
        )
    )
    for row in rows:
        link, browser = row.reader.link, row.reader.browser
        named = [] if link is None else [link.holder, link.email]
        named += [] if browser is None else [browser.person.name, browser.person.email]
        names = frozenset(plain_name(name) for name in named if name)
        yield _Look(names, frozenset([row.squad_id]), None, None, None, row.ended_at)


def _look(row: LookRow, addresses: Mapping[int, str]) -> _Look:
    link, person = row.link, row.person
    coach = None
    if person is not None:
        names = {plain_name(person.name), person.email.lower()}
        squads = frozenset(squad.id for squad in person.squads)
    elif link is not None:
        names = {plain_name(link.holder), link.email.lower(), addresses.get(link.mail_id or 0, "")}
        squads = frozenset() if link.squad_id is None else frozenset([link.squad_id])
        coach = link.person_id
    else:
        names, squads = set(), frozenset()
    return _Look(frozenset(names - {""}), squads, coach, row.page_at, row.feed_at)
