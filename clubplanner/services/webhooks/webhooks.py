"""Webhooks named, listed, tried, ended, let go on, and their secrets exchanged."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.times.times import moment_in_words
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _, quoted
from clubplanner.outputs.webhooks.signature import (
    PREFIX,
    SECRET_OCTETS,
    secret_from_octets,
    signed_headers,
)
from clubplanner.services.addresses.hints import drop_hints
from clubplanner.services.calendars.fetching import URL_LIMIT, Reach, StopError
from clubplanner.services.journal.since import present_mark
from clubplanner.services.rows.own_club import refuse_office
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.webhooks.contents import trial_body
from clubplanner.services.webhooks.delivering import NAME_OCTETS, about_webhook, secrets_of
from clubplanner.services.webhooks.sending import Fate, Message, is_allowed, words_of
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.webhook_tables import WebhookMessageRow, WebhookRow, WebhookSecretRow

if TYPE_CHECKING:
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.config import Config
    from clubplanner.services.webhooks.delivering import Post
    from clubplanner.services.webhooks.sending import Answer
    from clubplanner.store.engine import Store

LONGEST_NAME = 80
MOST_WEBHOOKS = 20
OVERLAP = timedelta(hours=24)
"""How long a secret still counts after it was exchanged: time for whoever looks after the other
program; common practice, no source for the hours."""
MOST_FORMER = 4
"""Secrets that count beside the present one at most: each adds to what every message bears."""
MOST_SHOWN = 20
"""Messages that are listed."""


@dataclass(frozen=True, slots=True)
class WebhookMade:
    """A webhook that was just made.

    Attributes:
        number: Its number.
        name: What for.
        secret: With what its messages are signed, as the other program wants it; shown once.
        former_until: Until when they are signed with the secret before, too, in words; blank for a
            webhook that had none.
    """

    number: int
    name: str
    secret: str = field(repr=False)
    former_until: str = ""


@dataclass(frozen=True, slots=True)
class MessageLine:
    """One message, as it is listed.

    Attributes:
        message_id: Its number, as the other program has it.
        made: When it was made, in words.
        tries: How often it was handed over.
        state: What became of it, in words.
    """

    message_id: str
    made: str
    tries: int
    state: str


@dataclass(frozen=True, slots=True)
class WebhookLine:
    """A webhook, as it is listed.

    Attributes:
        number: Its number.
        name: What for.
        host: Whom it tells; never the whole address, which may be secret.
        state: How it goes, a sentence.
        is_going_on: Whether it is told.
        needs_a_hand: Whether it ended by itself and nobody has seen to it.
    """

    number: int
    name: str
    host: str
    state: str
    is_going_on: bool
    needs_a_hand: bool


@dataclass(frozen=True, slots=True)
class WebhookShown:
    """A webhook by itself.

    Attributes:
        line: As it is listed.
        messages: The newest, newest first.
        former_until: Until when messages are signed with a secret before, too, in words; blank
            where it was not exchanged lately.
    """

    line: WebhookLine
    messages: tuple[MessageLine, ...]
    former_until: str = ""


def add_webhook(store: Store, name: str, url: str, config: Config, now: datetime) -> WebhookMade:
    """Let another program be told of every change from now on.

    Args:
        store: The database.
        name: What for, in the secretary's words.
        url: Where its messages go.
        config: Which computer of the own network may be reached.
        now: The present instant.

    Raises:
        RefusedError: If something typed cannot be used, or there are enough.
    """
    name, url = " ".join(name.split()), url.strip()
    if not name or len(name) > LONGEST_NAME:
        raise RefusedError(
            _("Enter what it is for, in at most %(most)s characters.", most=LONGEST_NAME)
        )
    refuse_address(url, config)
    secret = secret_from_octets(secrets.token_bytes(SECRET_OCTETS))
    mark = present_mark(store, now)
    with store.write() as session:
        going_on = select(func.count(WebhookRow.id)).where(WebhookRow.ended_at.is_(None))
        if (session.scalar(going_on) or 0) >= MOST_WEBHOOKS:
            raise RefusedError(
                _("There are %(most)s webhooks already; end one first.", most=MOST_WEBHOOKS)
            )
        row = WebhookRow(
            name=name,
            url=url,
            secret=secret,
            mark=mark,
            created_at=now,
            failing_since=None,
            ended_at=None,
            words="",
        )
        session.add(row)
        describe_change(session, _("made the webhook %(name)s", name=quoted(name)))
        session.flush()
        return WebhookMade(row.id, name, PREFIX + secret)


def refuse_address(url: str, config: Config) -> None:
    """Refuse an address that no message may go to; whom it leads to is looked at when one does.

    Raises:
        RefusedError: Saying what to do.
    """
    try:
        allowed = is_allowed(url, Reach(near=config.calendar_host)) and len(url) <= URL_LIMIT
    except StopError as stop:
        raise RefusedError(words_of(stop.problem.code)) from stop
    if not allowed:
        raise RefusedError(words_of("plain"))


def list_webhooks(store: Store) -> tuple[WebhookLine, ...]:
    """Return all webhooks, those that go on first, then the newest."""
    with store.read() as session:
        rows = session.scalars(
            select(WebhookRow).order_by(WebhookRow.ended_at.is_not(None), WebhookRow.id.desc())
        ).all()
        zone = load_zone(session)
        return tuple(_line(row, zone) for row in rows)


def see_webhook(store: Store, number: int, now: datetime) -> WebhookShown:
    """Return a webhook with its newest messages.

    Raises:
        MissingError: If there is none of that number.
    """
    with store.read() as session:
        row = _load(session, number)
        zone = load_zone(session)
        messages = session.scalars(
            select(WebhookMessageRow)
            .where(WebhookMessageRow.webhook_id == number)
            .order_by(WebhookMessageRow.id.desc())
            .limit(MOST_SHOWN)
        )
        still = [one.until for one in row.former if one.until > now]
        return WebhookShown(
            _line(row, zone),
            tuple(_message(one, zone) for one in messages),
            moment_in_words(max(still), zone) if still else "",
        )


def try_webhook(store: Store, number: int, now: datetime, post: Post) -> Answer:
    """Send a message that says nothing, to see whether one arrives.

    Raises:
        MissingError: If there is no webhook of that number.
        RefusedError: To whoever is not the office.
    """
    with store.read() as session:
        refuse_office(session)
        row = _load(session, number)
        url, (secret, *former) = row.url, secrets_of(row, now)
    body = trial_body(now)
    name = f"msg_{secrets.token_hex(NAME_OCTETS)}"
    return post(Message(url, signed_headers(name, now, body, secret, former), body))


def exchange_secret(store: Store, number: int, now: datetime) -> WebhookMade:
    """Let a webhook's messages be signed with another secret.

    For `OVERLAP` they bear a signature by the one before, too, so that nothing is missed while the
    other program learns of the new one. The journal, which keeps no secrets, does not note it.

    Args:
        store: The database.
        number: Which webhook.
        now: The present instant.

    Returns:
        The new secret, shown once, and until when the one before counts.

    Raises:
        MissingError: If there is no webhook of that number.
        RefusedError: To whoever is not the office, or if it was exchanged very often just now.
    """
    secret = secret_from_octets(secrets.token_bytes(SECRET_OCTETS))
    with store.write() as session:
        refuse_office(session)
        row = _load(session, number)
        if len(secrets_of(row, now)) > MOST_FORMER:
            raise RefusedError(
                _(
                    "This secret was exchanged %(most)s times within a day; wait until the first "
                    "of them counts no more.",
                    most=MOST_FORMER,
                )
            )
        until = now + OVERLAP
        session.add(WebhookSecretRow(webhook=row, secret=row.secret, until=until))
        row.secret = secret
        before = moment_in_words(until, load_zone(session))
        return WebhookMade(row.id, row.name, PREFIX + secret, before)


def end_webhook(store: Store, number: int, now: datetime) -> str:
    """Tell another program nothing more; of one that ended by itself, that it was seen to.

    Returns:
        What it was for.

    Raises:
        MissingError: If there is no webhook of that number.
        RefusedError: To whoever is not the office.
    """
    with store.write() as session:
        refuse_office(session)
        row = _load(session, number)
        if row.ended_at is None:
            row.ended_at = now
            describe_change(session, _("ended the webhook %(name)s", name=quoted(row.name)))
        row.words = ""
        drop_hints(session, about_webhook(number))
        return row.name


def go_on_with_webhook(store: Store, number: int, now: datetime) -> str:
    """Let a webhook go on that ended, from where it stopped.

    Returns:
        What it is for.

    Raises:
        MissingError: If there is no webhook of that number.
        RefusedError: To whoever is not the office.
    """
    with store.write() as session:
        refuse_office(session)
        row = _load(session, number)
        if row.ended_at is not None:
            describe_change(session, _("let the webhook %(name)s go on", name=quoted(row.name)))
        row.ended_at, row.failing_since, row.words = None, None, ""
        waiting = select(WebhookMessageRow).where(
            WebhookMessageRow.webhook_id == number, WebhookMessageRow.taken_at.is_(None)
        )
        for message in session.scalars(waiting):
            message.next_try_at = now
        drop_hints(session, about_webhook(number))
        return row.name


def has_ended_webhooks(store: Store) -> bool:
    """Tell whether any ended by itself and nobody has seen to it yet."""
    with store.read() as session:
        query = select(WebhookRow.id).where(WebhookRow.words != "").limit(1)
        return session.scalars(query).first() is not None


def trial_in_words(answer: Answer) -> str:
    """Say what became of a trial."""
    if answer.fate is Fate.TAKEN:
        return _("It arrived: the program answered %(status)s.", status=answer.status)
    return _("It did not arrive. %(words)s", words=answer.words)


def _load(session: Session, number: int) -> WebhookRow:
    row = session.get(WebhookRow, number)
    if row is None:
        raise MissingError(_("There is no such webhook; look at the list of them."))
    return row


def _line(row: WebhookRow, zone: ZoneInfo) -> WebhookLine:
    host = row.url.partition("://")[2].partition("/")[0].partition("?")[0]
    if row.ended_at is not None:
        state = _("Ended %(when)s.", when=moment_in_words(row.ended_at, zone))
        if row.words:
            state = _(
                "%(state)s Nothing was taken there any more: %(why)s", state=state, why=row.words
            )
    elif row.failing_since is not None:
        state = _(
            "Nothing has been taken since %(when)s; it is tried again and again, for three days.",
            when=moment_in_words(row.failing_since, zone),
        )
    else:
        state = _("It is told what changes.")
    return WebhookLine(row.id, row.name, host, state, row.ended_at is None, bool(row.words))


def _message(row: WebhookMessageRow, zone: ZoneInfo) -> MessageLine:
    if row.taken_at is not None:
        state = _("taken %(when)s", when=moment_in_words(row.taken_at, zone))
    else:
        state = row.words or _("on its way")
    return MessageLine(row.message_id, moment_in_words(row.made_at, zone), row.attempts, state)
