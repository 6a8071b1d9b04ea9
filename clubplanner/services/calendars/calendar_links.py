"""Addresses one by one: made for a person, listed, withdrawn."""

from __future__ import annotations

import secrets
from collections import Counter
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from sqlalchemy import or_, select
from sqlalchemy.orm import selectinload

from clubplanner.domain.club.comparing_names import is_called, plain_name
from clubplanner.domain.times.times import short_day
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _, ngettext
from clubplanner.outputs.calendars.invitation import Mailbox
from clubplanner.services.addresses.links import SECRET_BYTES, hash_secret
from clubplanner.services.calendars.feed_subjects import (
    FeedSubject,
    subject_of_coach,
    subject_of_pitch,
    subject_of_squad,
)
from clubplanner.services.rows.coach_rows import coaches_of
from clubplanner.services.rows.named import find_squad
from clubplanner.services.rows.own_club import is_held, is_own_coach, own_people, own_squads
from clubplanner.services.rows.snapshot import load_squads, load_zone
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

LONGEST_HOLDER = 80
LONGEST_REMINDER = 7 * 24 * 60
"""Minutes."""


class LinkKind(StrEnum):
    """What an address is about."""

    SQUAD = "squad"
    COACH = "coach"
    PITCH = "pitch"


@dataclass(frozen=True, slots=True)
class LinkWish:
    """An address somebody asks for.

    Attributes:
        kind: What it is about.
        subject: Key or name of the squad or pitch; the coach's name, e-mail or number.
        holder: For whom.
        email: Gets mails about changes; blank for none. Not for pitches.
        reminder_minutes: How long before each booking a calendar reminds; None for not at all.
    """

    kind: LinkKind
    subject: str
    holder: str
    email: str = ""
    reminder_minutes: int | None = None


@dataclass(frozen=True, slots=True)
class LinkMade:
    """A new address; its secret part is kept nowhere.

    Attributes:
        path: From the slash on, such as "/ground/…".
        file: Name of the calendar behind it.
    """

    path: str
    file: str


@dataclass(frozen=True, slots=True)
class LinkLine:
    """An address in use, as the list shows it; never the address itself.

    Attributes:
        number: Withdraws it.
        kind: What it is about.
        subject: The same in words.
        holder: For whom.
        notes: Mails, reminder, since when; and how often it stands in mails.
        since: When it was made.
    """

    number: int
    kind: str
    subject: str
    holder: str
    notes: str
    since: datetime


@dataclass(frozen=True, slots=True)
class LinkChoices:
    """What an address can be about: pairs of key and words.

    Attributes:
        squads: All squads.
        coaches: All coaches of squads.
        pitches: All pitches.
    """

    squads: tuple[tuple[str, str], ...]
    coaches: tuple[tuple[str, str], ...]
    pitches: tuple[tuple[str, str], ...]

    @property
    def about(self) -> tuple[Choice, ...]:
        """All as one list for a form: values like "squad:u10", by kind."""
        kinds = (
            (LinkKind.SQUAD, _("Squads"), self.squads),
            (LinkKind.COACH, _("Coaches, all their squads"), self.coaches),
            (LinkKind.PITCH, _("Pitches, for the groundskeeper"), self.pitches),
        )
        return tuple(
            Choice(f"{kind.value}:{key}", words, group=group)
            for kind, group, listed in kinds
            for key, words in listed
        )


def create_link(store: Store, wish: LinkWish, now: datetime) -> LinkMade:
    """Make an address for one person.

    Raises:
        MissingError: If there is no such squad, coach or pitch; naming those there are.
        RefusedError: If something typed cannot be used.
    """
    _check(wish)
    secret = secrets.token_urlsafe(SECRET_BYTES)
    row = LinkRow(
        secret_hash=hash_secret(secret),
        holder=wish.holder.strip(),
        email=wish.email.strip(),
        reminder_minutes=wish.reminder_minutes,
        mail_id=None,
        created_at=now,
        revoked_at=None,
    )
    with store.write() as session:
        subject = find_subject(session, wish.kind, wish.subject)
        row.squad_id, row.person_id = subject.squad_id, subject.person_id
        row.pitch_id = subject.pitch_id
        session.add(row)
        session.flush()
        describe_change(
            session,
            _(
                "made an address of %(subject)s for %(holder)s",
                subject=_about(row)[1],
                holder=row.holder,
            ),
        )
    if wish.kind is LinkKind.SQUAD:
        return LinkMade(f"/ground/{secret}", "sessions.ics")
    return LinkMade(f"/calendar/{secret}", "bookings.ics")


def find_subject(session: Session, kind: LinkKind, words: str) -> FeedSubject:
    """Find what a calendar is to be about.

    Args:
        session: An open session.
        kind: What it is.
        words: Key or name of the squad or pitch; the coach's name, e-mail or number.

    Raises:
        MissingError: If there is no such squad, coach or pitch; naming those there are.
    """
    if kind is LinkKind.SQUAD:
        return subject_of_squad(find_squad(session, words))
    if kind is LinkKind.COACH:
        number = _find_coach(session, words)
        return subject_of_coach(number, session.get_one(PersonRow, number).name)
    return subject_of_pitch(_find_pitch(session, words))


def list_links(store: Store) -> tuple[LinkLine, ...]:
    """Return the addresses in use, by what they are about; those of one mail address as one."""
    with store.read() as session:
        zone = load_zone(session)
        rows = session.scalars(
            select(LinkRow)
            .where(LinkRow.revoked_at.is_(None), *_seen(session))
            .order_by(LinkRow.id)
            .options(
                selectinload(LinkRow.squad),
                selectinload(LinkRow.person),
                selectinload(LinkRow.pitch).selectinload(PitchRow.venue),
            )
        )
        grouped: dict[tuple[object, ...], list[LinkRow]] = {}
        for row in rows:
            key = (row.id,) if row.mail_id is None else ("mail", row.squad_id, row.holder)
            grouped.setdefault(key, []).append(row)
        lines = [_line(group, zone) for group in grouped.values()]
    order = [kind.value for kind in LinkKind]
    return tuple(sorted(lines, key=lambda x: (order.index(x.kind), x.subject, x.number)))


def withdraw_link(store: Store, number: int, now: datetime) -> str:
    """Make one address useless, or all that stand in mails to one person about one squad.

    Returns:
        Whose it was.

    Raises:
        MissingError: If it is not in use.
    """
    with store.write() as session:
        row = session.get(LinkRow, number)
        if row is None:
            raise MissingError(
                _("There is no address %(number)s; look at the list of addresses.", number=number)
            )
        if row.revoked_at is not None:
            raise MissingError(_("This address has been withdrawn already."))
        rows: Iterable[LinkRow] = [row]
        if row.mail_id is not None:
            rows = session.scalars(
                select(LinkRow).where(
                    LinkRow.mail_id.is_not(None),
                    LinkRow.squad_id == row.squad_id,
                    LinkRow.holder == row.holder,
                )
            ).all()
        for each in rows:
            each.revoked_at = each.revoked_at or now
        describe_change(session, _("withdrew the address of %(holder)s", holder=row.holder))
        return row.holder


def link_choices(store: Store) -> LinkChoices:
    """Return what addresses can be about."""
    with store.read() as session:
        own = own_squads(session)
        squads = session.scalars(select(SquadRow).where(*own).order_by(SquadRow.position)).all()
        coaches = sorted(_coaches(session).items(), key=lambda item: (item[1], item[0]))
        return LinkChoices(
            tuple((squad.key, squad.name) for squad in squads),
            tuple((str(number), words) for number, words in coaches),
            ()
            if is_held(session)
            else tuple((p.key, f"{p.name}, {p.venue.name}") for p in _pitches(session)),
        )


def _seen(session: Session) -> tuple[ColumnElement[bool], ...]:
    """Return the conditions that leave the addresses of own squads and of their coaches."""
    if not is_held(session):
        return ()
    squads = own_squads(session, LinkRow.squad_id)
    return (or_(*squads, *own_people(session, LinkRow.person_id)),)


def reminder_in_words(minutes: int) -> str:
    """Write "2 hours before", "30 minutes before", "1 day before"."""
    if minutes and minutes % 1440 == 0:
        return ngettext("%(num)s day before", "%(num)s days before", minutes // 1440)
    if minutes and minutes % 60 == 0:
        return ngettext("%(num)s hour before", "%(num)s hours before", minutes // 60)
    return ngettext("%(num)s minute before", "%(num)s minutes before", minutes)


def _check(wish: LinkWish) -> None:
    holder = wish.holder.strip()
    if not holder or len(holder) > LONGEST_HOLDER:
        raise RefusedError(
            _(
                "Enter for whom the address is, in at most %(longest_holder)s characters.",
                longest_holder=LONGEST_HOLDER,
            )
        )
    minutes = wish.reminder_minutes
    if minutes is not None and not 0 <= minutes <= LONGEST_REMINDER:
        raise RefusedError(_("Enter a reminder of at most a week, in minutes."))
    if wish.email.strip():
        if wish.kind is LinkKind.PITCH:
            raise RefusedError(_("Mails go to squads and coaches; a pitch has its calendar only."))
        try:
            Mailbox("", wish.email.strip())
        except ValueError as fault:
            raise RefusedError(str(fault)) from fault


def _find_coach(session: Session, words: str) -> int:
    """Return the number of a coach of squads.

    Raises:
        MissingError: If there is none, or several of that name.
    """
    everybody = {coach.number: coach for own in coaches_of(session).values() for coach in own}
    coaches = {n: coach for n, coach in everybody.items() if is_own_coach(session, n)}
    found = [
        coach
        for coach in coaches.values()
        if is_called(words, coach.name, coach.email, str(coach.number))
    ]
    if len(found) == 1:
        return found[0].number
    named = _coaches(session)
    if found:
        several = ", ".join(f"{coach.number} ({named[coach.number]})" for coach in found)
        raise MissingError(
            _(
                "Several coaches are called “%(name)s”; write the number of one: %(several)s.",
                name=words,
                several=several,
            )
        )
    known = ", ".join(sorted(named.values())) or _("none yet")
    raise MissingError(
        _("No squad has a coach “%(name)s”; the coaches are: %(known)s.", name=words, known=known)
    )


def _coaches(session: Session) -> dict[int, str]:
    """Return what coaches are called, by number; namesakes with their squads."""
    squads: dict[int, list[str]] = {}
    names: dict[int, str] = {}
    for squad in load_squads(session):
        for coach in squad.coaches:
            squads.setdefault(coach.number, []).append(squad.name)
            names[coach.number] = coach.name or coach.email
    names = {number: name for number, name in names.items() if is_own_coach(session, number)}
    called = Counter(map(plain_name, names.values()))
    return {
        number: name if called[plain_name(name)] == 1 else f"{name}, {', '.join(squads[number])}"
        for number, name in names.items()
    }


def _find_pitch(session: Session, name: str) -> PitchRow:
    rows = _pitches(session)
    for row in rows:
        if is_called(name, row.key, row.name, f"{row.name}, {row.venue.name}"):
            return row
    known = ", ".join(row.key for row in rows) or _("none yet")
    raise MissingError(
        _("There is no pitch “%(name)s”; the pitches are: %(known)s.", name=name, known=known)
    )


def _pitches(session: Session) -> list[PitchRow]:
    return list(
        session.scalars(
            select(PitchRow).join(PitchRow.venue).order_by(VenueRow.position, PitchRow.position)
        )
    )


def _line(rows: list[LinkRow], zone: ZoneInfo) -> LinkLine:
    row = rows[0]
    kind, subject = _about(row)
    notes = [
        _("since %(created_at)s", created_at=short_day(row.created_at.astimezone(zone).date()))
    ]
    if row.mail_id is not None:
        notes.append(ngettext("in %(num)s mail", "in %(num)s mails", len(rows)))
    if row.email:
        notes.append(_("mails to %(email)s", email=row.email))
    if row.reminder_minutes is not None:
        notes.append(
            _(
                "reminds %(reminder_minutes)s",
                reminder_minutes=reminder_in_words(row.reminder_minutes),
            )
        )
    return LinkLine(row.id, kind.value, subject, row.holder, ", ".join(notes), row.created_at)


def _about(row: LinkRow) -> tuple[LinkKind, str]:
    """Return what an address is about, and what that is called."""
    if row.squad is not None:
        return LinkKind.SQUAD, row.squad.name
    if row.pitch is not None:
        return LinkKind.PITCH, f"{row.pitch.name}, {row.pitch.venue.name}"
    return LinkKind.COACH, "" if row.person is None else row.person.name
