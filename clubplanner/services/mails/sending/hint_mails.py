"""Delivering short mails about what waits for one person: at least once, like those of changes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import delete, select

from clubplanner.domain.club.told.notices import pause_after
from clubplanner.language import _, marked, term
from clubplanner.outputs.calendars.invitation import Mailbox
from clubplanner.services.addresses.mailed_addresses import (
    FilledMail,
    end_addresses,
    fill_mail,
    is_about_addresses,
    let_addresses_wait,
)
from clubplanner.services.mails.sending.pauses import note_answer, note_refusal
from clubplanner.services.mails.sending.short_mail import ShortMail, compose_short_mail
from clubplanner.services.mails.sending.transport import Fate
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.knowing_tables import HintRow
from clubplanner.store.tables.notice_tables import MailState

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import datetime
    from email.message import EmailMessage

    from clubplanner.config import Config, MailServer
    from clubplanner.store.engine import Store

NO_SERVER = marked("No mail server is set up, so this was not sent.")
MOST_AT_ONCE = 1000
MOST_TRIES = 20


def deliver_hints(
    store: Store,
    config: Config,
    clock: Callable[[], datetime],
    send: Callable[[MailServer, EmailMessage, str], tuple[Fate, str]],
) -> Iterator[MailState]:
    """Hand over what is due, one after the other, and yield what became of each."""
    for _unused in range(MOST_AT_ONCE):
        taken = _take(store, config, clock())
        if taken is None:
            return
        if isinstance(taken, MailState):
            yield taken
            continue
        fate, words = send(taken.server, taken.message, taken.address)
        yield _note(store, taken, fate, words, clock())
        if fate is Fate.NO_SERVER:
            return


@dataclass(frozen=True, slots=True)
class _Taken:
    number: int
    server: MailServer
    message: EmailMessage
    address: str
    links: tuple[int, ...]


def _take(store: Store, config: Config, now: datetime) -> _Taken | MailState | None:
    """Take the next that is due: to send it, or to end it with the state returned."""
    due = (
        select(HintRow)
        .where(HintRow.state == MailState.WAITING, HintRow.next_try_at <= now)
        .order_by(HintRow.next_try_at, HintRow.id)
        .limit(1)
    )
    with store.read() as session:
        if session.scalars(due).first() is None:
            return None
    with store.write() as session:
        session.execute(
            delete(HintRow).where(HintRow.state != MailState.WAITING, HintRow.ends_at <= now)
        )
        row = session.scalars(due).first()
        if row is None:
            return None
        state, words = _end_of(row, config, now)
        filled = FilledMail(f"{row.text}\n\n{config.public_address}{row.path}\n", ())
        if state is MailState.WAITING and is_about_addresses(row):
            filled = fill_mail(session, row, config.public_address)
            if not filled.text:
                state, words = MailState.LAPSED, _("These addresses have been withdrawn.")
        server = config.mail_server
        if state is not MailState.WAITING or server is None:
            row.state, row.words, row.ended_at = state, words, now
            if is_about_addresses(row):
                end_addresses(session, row, now)
            return row.state
        row.attempts += 1
        row.next_try_at = now + pause_after(row.attempts)
        club = session.get(ClubRow, 1)
        mail = ShortMail(
            club=_("Pitches") if club is None else club.name,
            sender=server.sender,
            to=Mailbox(row.name, row.address),
            subject=row.subject,
            text=filled.text,
            message_id=f"<{row.message_id}@{server.sender.rpartition('@')[2]}>",
            sent_at=now,
        )
        return _Taken(row.id, server, compose_short_mail(mail), row.address, filled.numbers)


def _end_of(row: HintRow, config: Config, now: datetime) -> tuple[MailState, str]:
    """Return what a mail comes to without being sent; WAITING when it is to be sent."""
    if row.ends_at <= now or row.attempts >= MOST_TRIES:
        text = row.words or _("Its time had passed before it could be sent.")
        return MailState.LAPSED, text
    if config.mail_server is None:
        return MailState.UNSENT, term(NO_SERVER)
    return MailState.WAITING, ""


def _note(store: Store, taken: _Taken, fate: Fate, words: str, now: datetime) -> MailState:
    with store.write() as session:
        row = session.get(HintRow, taken.number)
        if fate in (Fate.LATER, Fate.NEVER, Fate.NO_SERVER):
            let_addresses_wait(session, taken.links)
        if row is None:  # it was settled while it was on its way
            return MailState.SENT
        if fate is Fate.NO_SERVER:
            row.attempts -= 1
            row.next_try_at = now
            note_refusal(session, words, now)
            return row.state
        note_answer(session)
        row.words = words
        if fate is Fate.TAKEN:
            row.state, row.ended_at = MailState.SENT, now
        elif fate is Fate.NEVER:
            row.state, row.ended_at = MailState.REFUSED, now
            if is_about_addresses(row):
                end_addresses(session, row, now)
        return row.state
