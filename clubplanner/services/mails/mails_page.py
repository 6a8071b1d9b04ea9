"""What went out by mail, what waits, and what only the calendar tells."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import case, func, select

from clubplanner.domain.times.times import clock_in_zone, short_day
from clubplanner.errors import MissingError
from clubplanner.language import _, ngettext
from clubplanner.outputs.mails.mail import compose_mail
from clubplanner.services.mails.making.contents import (
    PREVIEW_SECRET,
    PREVIEW_SENDER,
    is_own_mail,
    notice_of,
    squads_of_mail,
    text_of_mail,
)
from clubplanner.services.mails.sending.pauses import find_pause
from clubplanner.services.rows.own_club import own_squads, refuse_other_squad
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.knowing_tables import MailedRow
from clubplanner.store.tables.notice_tables import MailRow, MailState, NoticeRow
from clubplanner.store.tables.season_tables import ChangedBookingRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.config import Config
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.notice_tables import MailPauseRow

USUAL_COUNT = 50


@dataclass(frozen=True, slots=True)
class SquadWaiting:
    """Changes of one squad that no mail has told yet.

    Attributes:
        key: The squad.
        name: Its name.
        wanted: How many bookings go by mail as soon as things have been quiet for a moment.
        calendar_only: How many the calendar alone tells, unless a mail is asked for.
    """

    key: str
    name: str
    wanted: int
    calendar_only: int


@dataclass(frozen=True, slots=True)
class MailLine:
    """A mail in the list.

    Attributes:
        number: The mail's number.
        to: Name and address.
        about: Squad and how many bookings.
        made: When it was made, in words.
        made_at: The same.
        state: What became of it, in words.
    """

    number: int
    to: str
    about: str
    made: str
    made_at: datetime
    state: str


@dataclass(frozen=True, slots=True)
class MailsPaused:
    """Why no mail goes out at all.

    Attributes:
        why: What happened, what to check and what the mail server said.
        tries: Since when it has been tried how often, and when it is again.
        mails: How many mails wait for that.
    """

    why: str
    tries: str
    mails: int


@dataclass(frozen=True, slots=True)
class MailsPage:
    """What the page shows.

    Attributes:
        sends: Whether a mail server is set up.
        paused: Why none goes out although there is one; None while it takes them.
        waiting: Squads with changes that no mail has told.
        mails: The newest first.
    """

    sends: bool
    paused: MailsPaused | None
    waiting: tuple[SquadWaiting, ...]
    mails: tuple[MailLine, ...]


@dataclass(frozen=True, slots=True)
class MailShown:
    """One mail, as it went out or would have.

    Attributes:
        line: As in the list.
        subject: Its subject.
        text: Its words; the secret part of its addresses is not kept, so that a stand-in shows.
            Blank where no change is kept with it that it could tell of.
    """

    line: MailLine
    subject: str
    text: str


def see_mails(store: Store, config: Config, now: datetime) -> MailsPage:
    """Show what waits and the newest mails."""
    with store.read() as session:
        zone = load_zone(session)
        pause = find_pause(session) if config.mail_server is not None else None
        own = own_squads(session, MailRow.squad_id)
        query = select(MailRow).where(*own).order_by(MailRow.id.desc()).limit(USUAL_COUNT)
        rows = [row for row in session.scalars(query) if is_own_mail(session, row)]
        names = _squad_names(session)
        return MailsPage(
            config.mail_server is not None,
            None if pause is None else _paused(session, pause, zone),
            _waiting(session, now),
            tuple(_line(row, names, zone, pause) for row in rows),
        )


def see_mail(store: Store, config: Config, number: int) -> MailShown:
    """Show one mail.

    Raises:
        MissingError: If there is none of that number, or the ground it tells of is gone.
    """
    with store.read() as session:
        row = session.get(MailRow, number)
        if row is None:
            raise MissingError(_("There is no mail of this number; look at the list of mails."))
        for squad in squads_of_mail(row):
            refuse_other_squad(session, squad)
        server = config.mail_server
        pause = find_pause(session) if server is not None else None
        line = _line(row, _squad_names(session), load_zone(session), pause)
        if not row.changes:
            return MailShown(line, line.about, "")
        notice = notice_of(
            session,
            row,
            public_address=config.public_address,
            secrets=defaultdict(lambda: PREVIEW_SECRET),
            sender=PREVIEW_SENDER if server is None else server.sender,
            sent_at=row.ended_at or row.made_at,
        )
        message = compose_mail(notice)
        return MailShown(line, str(message["Subject"]), text_of_mail(message))


def _waiting(session: Session, now: datetime) -> tuple[SquadWaiting, ...]:
    """Count, by squad, the bookings that no mail has told of; the database does the counting."""
    mailed = ChangedBookingRow.booking_id.in_(select(MailedRow.booking_id))
    by_booking = (
        select(
            NoticeRow.squad_id,
            func.max(case((NoticeRow.is_wanted | mailed, 1), else_=0)).label("wanted"),
        )
        .join(NoticeRow.entry)
        .join(BookingRow, BookingRow.id == ChangedBookingRow.booking_id)
        .where(NoticeRow.told_at.is_(None), *BookingRow.not_over(now))
        .where(*own_squads(session, NoticeRow.squad_id))
        .group_by(NoticeRow.squad_id, BookingRow.id)
        .subquery()
    )
    rows = session.execute(
        select(SquadRow.key, SquadRow.name, func.sum(by_booking.c.wanted), func.count())
        .join(by_booking, by_booking.c.squad_id == SquadRow.id)
        .group_by(SquadRow.id)
        .order_by(SquadRow.position)
    )
    return tuple(SquadWaiting(key, name, wanted, n - wanted) for key, name, wanted, n in rows)


def _paused(session: Session, pause: MailPauseRow, zone: ZoneInfo) -> MailsPaused:
    tries = ngettext(
        "Tried once, %(since)s; again %(next_try_at)s.",
        "Tried %(num)s times since %(since)s; again %(next_try_at)s.",
        pause.tries,
        since=_when(pause.since, zone),
        next_try_at=_when(pause.next_try_at, zone),
    )
    waiting = select(func.count()).where(MailRow.state == MailState.WAITING)
    return MailsPaused(pause.words, tries, session.scalar(waiting) or 0)


def _squad_names(session: Session) -> dict[int, str]:
    rows = session.execute(select(SquadRow.id, SquadRow.name).order_by(SquadRow.position))
    return {row.id: row.name for row in rows}


def _line(
    row: MailRow, names: Mapping[int, str], zone: ZoneInfo, pause: MailPauseRow | None
) -> MailLine:
    count, squads = len(row.changes), squads_of_mail(row)
    return MailLine(
        number=row.id,
        to=f"{row.name} ({row.address})" if row.name else row.address,
        about=ngettext(
            "%(squad)s: %(num)s booking",
            "%(squad)s: %(num)s bookings",
            count,
            squad=", ".join(names[number] for number in names if number in squads),
        ),
        made=_when(row.made_at, zone),
        made_at=row.made_at,
        state=_state(row, zone, pause),
    )


def _when(instant: datetime, zone: ZoneInfo) -> str:
    return f"{short_day(instant.astimezone(zone).date())}, {clock_in_zone(instant, zone)}"


def _state(row: MailRow, zone: ZoneInfo, pause: MailPauseRow | None) -> str:
    if row.state is MailState.SENT and row.ended_at is not None:
        return _("Sent %(ended_at)s", ended_at=_when(row.ended_at, zone))
    if row.state is not MailState.WAITING:
        return row.words
    earliest = row.next_try_at if pause is None else max(row.next_try_at, pause.next_try_at)
    next_try_at = _when(earliest, zone)
    if row.words:
        return _("%(why)s Next: %(next_try_at)s", why=row.words, next_try_at=next_try_at)
    return _("Waits until %(next_try_at)s", next_try_at=next_try_at)
