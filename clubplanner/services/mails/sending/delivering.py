"""Delivering mails: at least once, by any number of workers, whenever one of them dies.

A mail is taken in one transaction, which also puts off its next try; it is handed over; it is
noted as sent in another. A worker that dies in between leaves it to be sent again, with the same
Message-ID and the same calendar parts, so that a mail program and a calendar show it once.

What the server refuses to all mails counts against none of them: they wait until it is mended.
"""

from __future__ import annotations

import logging
import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.told.notices import pause_after
from clubplanner.errors import PlannerError
from clubplanner.language import _, speaking, term
from clubplanner.outputs.mails.mail import compose_mail
from clubplanner.services.addresses.links import SECRET_BYTES, hash_secret
from clubplanner.services.mails.making.contents import change_from_stored, notice_of, squads_of_mail
from clubplanner.services.mails.making.gathering import gather_mails
from clubplanner.services.mails.making.last_told import is_overtaken, note_told
from clubplanner.services.mails.sending.hint_mails import NO_SERVER, deliver_hints
from clubplanner.services.mails.sending.pauses import is_paused, note_answer, note_refusal
from clubplanner.services.mails.sending.transport import Fate, send_mail
from clubplanner.services.mails.sending.turning_off import is_mail_off
from clubplanner.services.rows.club.club import club_language
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.notice_tables import MailRow, MailState

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime
    from email.message import EmailMessage

    from sqlalchemy.orm import Session

    from clubplanner.config import Config, MailServer
    from clubplanner.store.engine import Store

    Send = Callable[[MailServer, EmailMessage, str], tuple[Fate, str]]

LOG = logging.getLogger("clubplanner.mailing")

MOST_TRIES = 20
"""Tries of one mail that a server goes on refusing: about 15 hours, with the pauses between."""


@dataclass(frozen=True, slots=True)
class Delivery:
    """What one round did.

    Attributes:
        made: Mails that were made of changes.
        sent: Mails that the server took.
        waiting: Mails that are to be tried again.
        unsent: Mails that are only shown, for want of a server.
        ended: Mails that nobody will get: refused for good, out of date, or not wanted.
    """

    made: int = 0
    sent: int = 0
    waiting: int = 0
    unsent: int = 0
    ended: int = 0


@dataclass(frozen=True, slots=True)
class _Taken:
    number: int
    secrets: Mapping[int, str]


def deliver(
    store: Store,
    config: Config,
    clock: Callable[[], datetime],
    *,
    at_once: bool = False,
    send: Send = send_mail,
    language: str = "",
) -> Delivery:
    """Make mails of what is due and hand them over.

    Args:
        store: The database.
        config: Server, quiet hours and the address of the pages.
        clock: Gives the present instant, UTC.
        at_once: Do not wait for a go of changes to be over, nor until a server that refused us is
            to be tried again.
        send: Hands a mail over.
        language: Of the club, where it is known already; else the records are asked.
    """
    with speaking(language or club_language(store)):
        return _deliver(store, config, clock, send, at_once=at_once)


def _deliver(
    store: Store, config: Config, clock: Callable[[], datetime], send: Send, *, at_once: bool
) -> Delivery:
    made = gather_mails(store, config.quiet, clock(), at_once=at_once)
    counts = dict.fromkeys(MailState, 0)
    waits = config.mail_server is not None and not at_once and is_paused(store, clock())
    for _unused in range(0 if waits else 10_000):
        taken = _take(store, config, clock())
        if taken is None:
            break
        if isinstance(taken, MailState):
            counts[taken] += 1
            continue
        fate, words = _hand_over(store, config, taken, send, clock())
        counts[_note(store, taken.number, fate, words, clock())] += 1
        if fate is Fate.NO_SERVER:
            waits = True
            break
    for state in () if waits else deliver_hints(store, config, clock, send):
        counts[state] += 1
    return Delivery(
        made,
        counts[MailState.SENT],
        counts[MailState.WAITING],
        counts[MailState.UNSENT],
        counts[MailState.LAPSED] + counts[MailState.REFUSED],
    )


def _take(store: Store, config: Config, now: datetime) -> _Taken | MailState | None:
    """Take the next mail that is due: to send it, or to end it with the state returned."""
    query = (
        select(MailRow)
        .where(MailRow.state == MailState.WAITING, MailRow.next_try_at <= now)
        .order_by(MailRow.next_try_at, MailRow.id)
        .limit(1)
    )
    with store.read() as session:
        if session.scalars(query).first() is None:
            return None
    with store.write() as session:
        mail = session.scalars(query.with_for_update(skip_locked=True)).first()
        if mail is None:
            return None
        state, words = _end_of(session, mail, config, now)
        if state is not MailState.WAITING:
            mail.state, mail.words, mail.ended_at = state, words, now
            return state
        mail.attempts += 1
        mail.next_try_at = now + pause_after(mail.attempts)
        return _Taken(mail.id, _make_addresses(session, mail, now))


def _make_addresses(session: Session, mail: MailRow, now: datetime) -> dict[int, str]:
    """Make a mail's own address of each of its squads; it only turns mails off where it must."""
    made = {}
    for squad_id, may_open in ({mail.squad_id: False} | squads_of_mail(mail)).items():
        made[squad_id] = secrets.token_urlsafe(SECRET_BYTES)
        session.add(
            LinkRow(
                squad_id=squad_id,
                secret_hash=hash_secret(made[squad_id]),
                holder=mail.name,
                email="",
                reminder_minutes=None,
                mail_id=mail.id,
                created_at=now,
                revoked_at=None if may_open else now,
            )
        )
    return made


def _end_of(
    session: Session, mail: MailRow, config: Config, now: datetime
) -> tuple[MailState, str]:
    """Return what a mail comes to without being sent; WAITING when it is to be sent."""
    changes = [change_from_stored(each) for each in mail.changes]
    states = [s for c in changes for s in (c.before, c.after) if s is not None]
    if is_mail_off(session, mail.address):
        return MailState.LAPSED, _("Mails to this address have been turned off.")
    if all(state.ends_at <= now for state in states) or mail.attempts >= MOST_TRIES:
        return MailState.LAPSED, mail.words or _("Its time had passed before it could be sent.")
    if is_overtaken(session, mail):
        return MailState.LAPSED, _("A later mail told of this already.")
    if config.mail_server is None:
        return MailState.UNSENT, term(NO_SERVER)
    return MailState.WAITING, ""


def _hand_over(
    store: Store, config: Config, taken: _Taken, send: Send, now: datetime
) -> tuple[Fate, str]:
    server = config.mail_server
    if server is None:
        return Fate.LATER, term(NO_SERVER)
    try:
        with store.read() as session:
            mail = session.get_one(MailRow, taken.number)
            address = mail.address
            notice = notice_of(
                session,
                mail,
                public_address=config.public_address,
                secrets=taken.secrets,
                sender=server.sender,
                sent_at=now,
            )
        message = compose_mail(notice)
    except (PlannerError, ValueError, KeyError):
        LOG.exception("mail %d cannot be written", taken.number)
        return Fate.NEVER, _("It cannot be written: its ground is no longer in the records.")
    return send(server, message, address)


def _note(store: Store, number: int, fate: Fate, words: str, now: datetime) -> MailState:
    """Note what became of a mail."""
    with store.write() as session:
        mail = session.get_one(MailRow, number)
        if fate is Fate.NO_SERVER:
            mail.attempts -= 1
            mail.next_try_at = now
            note_refusal(session, words, now)
            return mail.state
        note_answer(session)
        mail.words = words
        if fate is Fate.TAKEN:
            mail.state, mail.ended_at = MailState.SENT, now
            note_told(session, mail, now)
        elif fate is Fate.NEVER:
            mail.state, mail.ended_at = MailState.REFUSED, now
        return mail.state
