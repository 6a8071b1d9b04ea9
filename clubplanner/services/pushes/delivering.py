"""Delivering notices to phones: at least once, by any number of workers, whenever one dies.

A notice is taken in one transaction, which also puts off its next try; it is handed over; what was
answered is noted in another. A worker that dies in between leaves it to be sent again, with the
same number, tag and topic: a service that still has the first throws it away for the second (RFC
8030, section 5.4), and a phone that has shown the first shows it once.
"""

from __future__ import annotations

import base64
import hashlib
import logging
import secrets
import time
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from cryptography.hazmat.primitives.asymmetric import ec
from sqlalchemy import select

from clubplanner.domain.club.told.notices import pause_after
from clubplanner.errors import PlannerError
from clubplanner.language import _, speaking
from clubplanner.outputs.pushes.encryption import (
    CURVE,
    SALT_OCTETS,
    BrowserKeys,
    encrypt,
    from_words,
)
from clubplanner.outputs.pushes.signature import authorization, key_from_words
from clubplanner.services.mails.making.contents import change_from_stored
from clubplanner.services.pushes.club_key import load_club_key
from clubplanner.services.pushes.contents import message_of
from clubplanner.services.pushes.gathering import gather_pushes
from clubplanner.services.pushes.readers import is_still_told
from clubplanner.services.pushes.sending import Answer, Envelope, Fate, origin_of, post_message
from clubplanner.services.rows.club.club import club_language
from clubplanner.store.tables.push_tables import PushReaderRow, PushRow, PushState

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.config import Config
    from clubplanner.services.pushes.club_key import ClubKey
    from clubplanner.store.engine import Store

    Post = Callable[[Envelope], Answer]

LOG = logging.getLogger("clubplanner.pushing")

SIGNED_FOR = timedelta(hours=12)
"""How long a signature holds; 24 hours at most (RFC 8292, section 2)."""
MOST_TRIES = 12
ROUND_SECONDS = 60.0
"""Mails come after notices: a service that does not answer must not hold them up for long."""


@dataclass(frozen=True, slots=True)
class PushDelivery:
    """What one round did.

    Attributes:
        made: Notices that were made of changes.
        sent: Notices that services took.
        waiting: Notices that are to be tried again.
        ended: Notices that nobody will get: refused, out of date, or their browser is gone.
    """

    made: int = 0
    sent: int = 0
    waiting: int = 0
    ended: int = 0


def deliver_pushes(
    store: Store,
    config: Config,
    clock: Callable[[], datetime],
    *,
    at_once: bool = False,
    post: Post = post_message,
    language: str = "",
) -> PushDelivery:
    """Make notices of what is due and hand them over.

    Args:
        store: The database.
        config: Quiet hours and the address of the pages.
        clock: Gives the present instant, UTC.
        at_once: Do not wait for a go of changes to be over.
        post: Hands a message over.
        language: Of the club, where it is known already; else the records are asked.
    """
    until = time.monotonic() + ROUND_SECONDS
    with speaking(language or club_language(store)):
        made = gather_pushes(store, config.quiet, clock(), at_once=at_once)
        counts = dict.fromkeys(PushState, 0)
        while time.monotonic() < until:
            taken = _take(store, clock())
            if taken is None:
                break
            if isinstance(taken, int):
                answer, words = _hand_over(store, config, taken, post, clock())
                taken = _note(store, taken, answer, words, clock())
            counts[taken] += 1
    return PushDelivery(
        made,
        counts[PushState.SENT],
        counts[PushState.WAITING],
        counts[PushState.LAPSED] + counts[PushState.REFUSED],
    )


def _take(store: Store, now: datetime) -> int | PushState | None:
    """Take the next notice that is due: its number; or, where it is ended at once, its state."""
    query = (
        select(PushRow)
        .where(PushRow.state == PushState.WAITING, PushRow.next_try_at <= now)
        .order_by(PushRow.next_try_at, PushRow.id)
        .limit(1)
    )
    with store.read() as session:
        if session.scalars(query).first() is None:
            return None
    with store.write() as session:
        push = session.scalars(query).first()
        if push is None:
            return None
        if not is_still_told(session, push.reader_id, now):
            session.delete(push.reader)
            return PushState.LAPSED
        if _is_over(push, now) or push.attempts >= MOST_TRIES:
            push.state, push.ended_at = PushState.LAPSED, now
            push.words = push.words or _("Its time had passed before it could be sent.")
            return PushState.LAPSED
        push.attempts += 1
        push.next_try_at = now + pause_after(push.attempts)
        return push.id


def _is_over(push: PushRow, now: datetime) -> bool:
    changes = [change_from_stored(each) for each in push.changes]
    states = [state for c in changes for state in (c.before, c.after) if state is not None]
    return all(state.ends_at <= now for state in states)


def _hand_over(
    store: Store, config: Config, number: int, post: Post, now: datetime
) -> tuple[Answer, str]:
    key = load_club_key(store, now)
    try:
        with store.read() as session:
            envelope = _envelope(session, config, key, number, now)
    except (PlannerError, ValueError, KeyError):
        LOG.exception("notice %d cannot be written", number)
        words = _("It cannot be written: its ground is no longer in the records.")
        return Answer(Fate.NEVER), words
    if envelope is None:
        return Answer(Fate.GONE), ""
    answer = post(envelope)
    if answer.status is None:
        return answer, _("The service that carries notices to this phone does not answer.")
    words = _(
        "The service that carries notices to this phone answered %(status)s.", status=answer.status
    )
    return answer, "" if answer.fate is Fate.TAKEN else words


def _envelope(
    session: Session, config: Config, key: ClubKey, number: int, now: datetime
) -> Envelope | None:
    """Return a notice as it is sent; None if its browser has been forgotten meanwhile."""
    push = session.get(PushRow, number)
    if push is None:
        return None
    reader = push.reader
    message = message_of(session, push, config.public_address, now)
    keys = BrowserKeys(from_words(reader.public_key), from_words(reader.auth))
    own, salt = ec.generate_private_key(CURVE), secrets.token_bytes(SALT_OCTETS)
    headers = {
        "Authorization": authorization(
            key_from_words(key.private),
            origin_of(reader.endpoint),
            now + SIGNED_FOR,
            _subject(config),
        ),
        "Content-Encoding": "aes128gcm",
        "Content-Type": "application/octet-stream",
        "TTL": str(max(0, int((message.ends_at - now).total_seconds()))),
        "Urgency": "high",
        "Topic": _topic(push),
        "User-Agent": "clubplanner",
        "Connection": "close",
    }
    return Envelope(reader.endpoint, headers, encrypt(message.text, keys, own, salt))


def _topic(push: PushRow) -> str:
    """Return a name for what the notice is about that tells the service nothing.

    At most 32 letters of base64url (RFC 8030, section 5.4).
    """
    digest = hashlib.sha256(f"{push.reader.auth} {push.tag}".encode()).digest()
    return base64.urlsafe_b64encode(digest).decode()[:32]


def _subject(config: Config) -> str:
    """Return how whoever runs a service reaches the club (RFC 8292, section 2.1)."""
    if config.mail_server is not None:
        return f"mailto:{config.mail_server.sender}"
    return config.public_address if config.public_address.startswith("https:") else ""


def _note(store: Store, number: int, answer: Answer, words: str, now: datetime) -> PushState:
    """Note what became of a notice."""
    with store.write() as session:
        push = session.get(PushRow, number)
        if push is None:  # its browser was switched off while it was on its way
            return PushState.SENT if answer.fate is Fate.TAKEN else PushState.LAPSED
        reader: PushReaderRow = push.reader
        if answer.fate is Fate.GONE:
            _forget_endpoint(session, reader.endpoint)
            return PushState.LAPSED
        push.words = words
        if answer.status is not None:
            reader.answer, reader.answered_at = answer.status, now
        if answer.fate is Fate.TAKEN:
            push.state, push.ended_at = PushState.SENT, now
        elif answer.fate is Fate.NEVER:
            push.state, push.ended_at = PushState.REFUSED, now
        elif answer.wait is not None:
            push.next_try_at = max(push.next_try_at, now + answer.wait)
        return push.state


def _forget_endpoint(session: Session, endpoint: str) -> None:
    """Forget a browser that its service knows no more, by whatever address it is told."""
    for reader in session.scalars(select(PushReaderRow).where(PushReaderRow.endpoint == endpoint)):
        session.delete(reader)
