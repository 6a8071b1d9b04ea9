"""Handing messages to other programs: in order, at least once, whichever worker dies.

A message is made, or taken to be tried again, in one transaction, which also puts off its next try;
it is handed over; what was answered is noted in another.
"""

from __future__ import annotations

import logging
import secrets
import time
from dataclasses import dataclass
from datetime import timedelta
from functools import partial
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.told.notices import pause_after
from clubplanner.errors import MarkGoneError
from clubplanner.language import _, quoted, speaking
from clubplanner.outputs.webhooks.signature import signed_headers
from clubplanner.services.addresses.hints import Hint, hint_secretaries
from clubplanner.services.calendars.fetching import Reach
from clubplanner.services.journal.since import has_happened, present_mark, read_since
from clubplanner.services.rows.club.club import club_language
from clubplanner.services.webhooks.contents import MOST_HAPPENINGS, stretch_body
from clubplanner.services.webhooks.sending import Answer, Fate, Message, post_message
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.webhook_tables import WebhookMessageRow, WebhookRow

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.config import Config
    from clubplanner.store.engine import Store

    Post = Callable[[Message], Answer]

LOG = logging.getLogger("clubplanner.webhooks")

LONGEST_FAILURE = timedelta(days=3)
"""How long nothing may be taken: tries span days by the standard ("Deliverability")."""
TOLD_FOR = timedelta(days=7)
ROUND_SECONDS = 30.0
"""Mails come after messages: a program that does not answer must not hold them up for long."""
NAME_OCTETS = 12


@dataclass(frozen=True, slots=True)
class WebhookRound:
    """What one round did.

    Attributes:
        taken: Messages that were taken.
        waiting: Messages that are to be tried again.
        ended: Webhooks that ended.
    """

    taken: int = 0
    waiting: int = 0
    ended: int = 0


@dataclass(frozen=True, slots=True)
class _Taken:
    number: int
    url: str
    secrets: tuple[str, ...]
    message_id: str
    from_mark: str
    to_mark: str
    made_at: datetime


def post_within(config: Config) -> Post:
    """Return how messages are handed over with a planner's settings."""
    return partial(post_message, reach=Reach(near=config.calendar_host))


def deliver_webhooks(
    store: Store,
    config: Config,
    clock: Callable[[], datetime],
    *,
    at_once: bool = False,
    post: Post | None = None,
) -> WebhookRound:
    """Hand over what has happened, each webhook a message in turn.

    Args:
        store: The database.
        config: Which computer of the own network may be reached.
        clock: Gives the present instant, UTC.
        at_once: Try what waits for another try now.
        post: Hands a message over; None for the usual way.
    """
    numbers = _going_on(store)
    if not numbers:
        return WebhookRound()
    post = post or post_within(config)
    until = time.monotonic() + ROUND_SECONDS
    counts = dict.fromkeys(Fate, 0)
    with speaking(club_language(store)):
        while numbers and time.monotonic() < until:
            for number in list(numbers):
                fate = _one(store, number, clock, post, at_once=at_once)
                if fate is not Fate.TAKEN:
                    numbers.remove(number)
                if fate is not None:
                    counts[fate] += 1
    return WebhookRound(counts[Fate.TAKEN], counts[Fate.LATER], counts[Fate.GONE])


def _going_on(store: Store) -> list[int]:
    with store.read() as session:
        query = select(WebhookRow.id).where(WebhookRow.ended_at.is_(None))
        return list(session.scalars(query.order_by(WebhookRow.id)))


def _one(
    store: Store, number: int, clock: Callable[[], datetime], post: Post, *, at_once: bool
) -> Fate | None:
    """Hand over one message of a webhook; None where none is due."""
    taken = _take(store, number, clock(), at_once=at_once)
    if taken is None:
        return None
    body = stretch_body(store, taken.from_mark, taken.to_mark, taken.made_at)
    headers = signed_headers(taken.message_id, clock(), body, taken.secrets[0], taken.secrets[1:])
    answer = post(Message(taken.url, headers, body))
    return _note(store, taken, answer, clock())


def _take(store: Store, number: int, now: datetime, *, at_once: bool) -> _Taken | None:
    """Take the message that waits, if it is due, or make one of what has happened since."""
    with store.read() as session:
        row = session.get(WebhookRow, number)
        waiting = _waiting(session, number)
        mark = None if row is None else row.mark
        if mark is not None and waiting is None and not has_happened(session, mark):
            return None
    if mark is None or (waiting is not None and not at_once and waiting.next_try_at > now):
        return None
    to_mark = None if waiting is not None else _next_mark(store, mark, now)
    if waiting is None and to_mark is None:
        return None
    with store.write() as session:  # what is told is on the disk by then
        row = session.get(WebhookRow, number)
        if row is None or row.ended_at is not None or row.mark != mark:
            return None
        found = _waiting(session, number)
        if (found and found.id) != (waiting and waiting.id):
            return None  # another worker was there first
        if found is None:
            found = WebhookMessageRow(
                webhook=row,
                message_id=f"msg_{secrets.token_hex(NAME_OCTETS)}",
                from_mark=mark,
                to_mark=to_mark or mark,
                made_at=now,
                attempts=0,
                taken_at=None,
                status=None,
                words="",
            )
            session.add(found)
        elif not at_once and found.next_try_at > now:
            return None
        found.attempts += 1
        found.next_try_at = now + pause_after(found.attempts)
        session.flush()
        return _Taken(
            *(found.id, row.url, secrets_of(row, now), found.message_id),
            *(found.from_mark, found.to_mark, found.made_at),
        )


def secrets_of(row: WebhookRow, now: datetime) -> tuple[str, ...]:
    """Return the secrets with which a webhook's messages are signed: its own, then former ones."""
    return (row.secret, *(one.secret for one in row.former if one.until > now))


def _waiting(session: Session, number: int) -> WebhookMessageRow | None:
    return session.scalars(
        select(WebhookMessageRow)
        .where(WebhookMessageRow.webhook_id == number, WebhookMessageRow.taken_at.is_(None))
        .order_by(WebhookMessageRow.id)
        .limit(1)
    ).first()


def _next_mark(store: Store, mark: str, now: datetime) -> str | None:
    """Return up to where the next message tells; None where nothing has happened."""
    try:
        since = read_since(store, mark, count=MOST_HAPPENINGS)
    except MarkGoneError:
        return present_mark(store, now)
    return since.mark if since.happenings else None


def _note(store: Store, taken: _Taken, answer: Answer, now: datetime) -> Fate:
    """Note what became of a message, and end a webhook where nothing has been taken for long."""
    with store.write() as session:
        message = session.get(WebhookMessageRow, taken.number)
        if message is None or message.taken_at is not None:
            return answer.fate
        row = message.webhook
        message.status, message.words = answer.status, answer.words
        if answer.fate is Fate.TAKEN:
            message.taken_at, row.mark, row.failing_since = now, message.to_mark, None
            return Fate.TAKEN
        if answer.wait is not None:
            message.next_try_at = max(message.next_try_at, now + answer.wait)
        row.failing_since = row.failing_since or now
        is_over = answer.fate is Fate.GONE or now >= row.failing_since + LONGEST_FAILURE
        if row.ended_at is not None or not is_over:
            return Fate.LATER
        row.ended_at, row.words = now, answer.words
        describe_change(
            session,
            _("webhook %(name)s ended by itself: nothing was taken there", name=quoted(row.name)),
        )
        hint_secretaries(session, _hint(row, now), now)
        return Fate.GONE


def _hint(row: WebhookRow, now: datetime) -> Hint:
    """Return what the secretaries are told once a webhook has ended by itself."""
    name, why = row.name, row.words
    return Hint(
        about_webhook(row.id),
        f"/desk/webhooks/{row.id}",
        now + TOLD_FOR,
        lambda: (
            _("%(name)s is no longer told what changes", name=name),
            _(
                "Nothing more is sent there: %(why)s\nOnce that is mended, let it go on here; "
                "nothing that changed meanwhile is left out:",
                why=why,
            ),
        ),
    )


def about_webhook(number: int) -> str:
    """Return what mails about a webhook are about, so that they are dropped once it is settled."""
    return f"webhook {number}"
