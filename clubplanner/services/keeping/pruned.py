"""What is pruned, and when it is over: one entry each, in the order in which it goes."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from typing import TYPE_CHECKING, Any, TypeAlias

from sqlalchemy import String, and_, cast, exists, func, or_, select

from clubplanner.domain.club.persons.keeping import Period
from clubplanner.services.keeping.old_changes import find_old_changes, find_old_entries
from clubplanner.services.people.sent_forms import KEPT_HOURS as FORM_HOURS
from clubplanner.services.people.ways_in.sign_in_tries import KEPT_HOURS as TRY_HOURS
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.notice_tables import MailState

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime

    from sqlalchemy import ColumnElement, Connection, Table

    Find: TypeAlias = Callable[[Connection, "datetime", "datetime", int], list[int]]
    Which: TypeAlias = Callable[["datetime", "datetime"], ColumnElement[bool]]


@dataclass(frozen=True, slots=True)
class Prune:
    """What is pruned.

    Attributes:
        name: For figures.
        period: How long it is kept; None for what is over by itself.
        table: Whose rows go, or are emptied.
        find: Gives the keys of up to so many rows, by the limit and the present instant.
        key: The column of those keys.
        emptied: What is written in place of what was; rows go as a whole where nothing is.
        before: Rows that go first: table, and its column with the key.
        shows: Whether calendars show it.
        change: The column with the number of the change of the journal that a row is of; blank for
            rows of none.
    """

    name: str
    period: Period | None
    table: str
    find: Find
    key: str = "id"
    emptied: Mapping[str, Any] = field(default_factory=dict)
    before: tuple[tuple[str, str], ...] = ()
    shows: bool = False
    change: str = ""


def _of(name: str) -> Table:
    return Base.metadata.tables[name]


def _where(table: Table, which: Which, key: str = "id") -> Find:
    """Return what finds the rows of a table that fulfil a condition."""

    def find(connection: Connection, limit: datetime, now: datetime, most: int) -> list[int]:
        query = select(table.c[key]).where(which(limit, now)).order_by(table.c[key]).limit(most)
        return list(connection.execute(query).scalars())

    return find


def _has_words(table: Table, *columns: str) -> ColumnElement[bool]:
    return or_(*(table.c[column] != "" for column in columns))


_BOOKING, _LINK, _MAIL, _HIRE, _DATE = map(_of, ("booking", "link", "mail", "hire", "hire_date"))
_FIXTURE, _ASK, _SWAP, _TURNOUT = map(_of, ("fixture", "waiting_ask", "swap_offer", "turnout"))
_SHARE_OUT, _RUN = map(_of, ("share_out", "share_run"))
_FORM, _TRY, _SIGN_IN, _BROWSER = map(_of, ("sent_form", "sign_in_try", "sign_in", "browser"))
_SESSION_LINK, _BUSY, _TOKEN = map(_of, ("session_link", "busy_booking", "token"))
_MESSAGE = _of("webhook_message")
_SECRET = _of("webhook_secret")


def _has_link(table: Table) -> ColumnElement[bool]:
    return exists().where(_LINK.c.mail_id == table.c.id)


def _ended(limit: datetime) -> ColumnElement[bool]:
    return and_(_MAIL.c.state != MailState.WAITING, _MAIL.c.ended_at < limit)


def _last_date(limit: datetime) -> ColumnElement[bool]:
    later = and_(_DATE.c.hire_id == _HIRE.c.id, _DATE.c.day >= limit.date())
    return and_(~exists().where(later), _HIRE.c.created_at < limit)


def _is_unused(share_out: Table) -> ColumnElement[bool]:
    return and_(
        ~exists().where(_BOOKING.c.share_out_id == share_out.c.id),
        ~exists().where(_RUN.c.share_out_id == share_out.c.id),
    )


def _over(limit: datetime) -> ColumnElement[bool]:
    return _BOOKING.c.ends_at < limit


_OFFERED = (
    select(func.max(_BOOKING.c.ends_at))
    .where(_BOOKING.c.id.in_([_SWAP.c.own_id, _SWAP.c.other_id]))
    .scalar_subquery()
)

EVERYTHING = (
    Prune(
        "sent forms",
        None,
        "sent_form",
        _where(_FORM, lambda _limit, now: _FORM.c.sent_at <= now - timedelta(hours=FORM_HOURS)),
    ),
    Prune(
        "attempts to sign in",
        None,
        "sign_in_try",
        _where(_TRY, lambda _limit, now: _TRY.c.tried_at <= now - timedelta(hours=TRY_HOURS)),
    ),
    Prune(
        "ways to sign in",
        None,
        "sign_in",
        _where(_SIGN_IN, lambda _limit, now: _SIGN_IN.c.ends_at <= now),
    ),
    Prune(
        "signed-in browsers",
        None,
        "browser",
        _where(_BROWSER, lambda _limit, now: _BROWSER.c.ends_at <= now),
    ),
    Prune(
        "withdrawn addresses",
        Period.ADDRESSES,
        "link",
        _where(_LINK, lambda limit, _now: _LINK.c.revoked_at < limit),
        before=(("look", "link_id"), ("push_reader", "link_id")),
    ),
    Prune(
        "tokens of programs",
        Period.ADDRESSES,
        "token",
        _where(
            _TOKEN, lambda limit, _now: or_(_TOKEN.c.revoked_at < limit, _TOKEN.c.ends_at < limit)
        ),
    ),
    Prune(
        "addresses of sessions",
        Period.ADDRESSES,
        "session_link",
        _where(
            _SESSION_LINK,
            lambda limit, _now: exists().where(
                and_(_BOOKING.c.id == _SESSION_LINK.c.booking_id, _over(limit))
            ),
        ),
    ),
    Prune(
        "mails",
        Period.MAILS,
        "mail",
        _where(_MAIL, lambda limit, _now: and_(_ended(limit), ~_has_link(_MAIL))),
        before=(("mail_anew", "mail_id"),),
    ),
    Prune(
        "what mails said whose address still opens",
        Period.MAILS,
        "mail",
        _where(
            _MAIL,
            lambda limit, _now: and_(
                _ended(limit), _has_link(_MAIL), cast(_MAIL.c.changes, String) != "[]"
            ),
        ),
        emptied={"changes": [], "words": ""},
    ),
    Prune(
        "messages to other programs",
        Period.MAILS,
        "webhook_message",
        _where(_MESSAGE, lambda limit, _now: _MESSAGE.c.taken_at < limit),
    ),
    Prune(
        "secrets of webhooks that were exchanged",
        None,
        "webhook_secret",
        _where(_SECRET, lambda _limit, now: _SECRET.c.until <= now),
    ),
    Prune(
        "bookings of changes",
        Period.JOURNAL,
        "changed_booking",
        find_old_entries,
        before=(("notice", "entry_id"),),
        change="change_id",
    ),
    Prune(
        "changes",
        Period.JOURNAL,
        "booking_change",
        find_old_changes,
        before=(("changed_record", "change_id"),),
        change="id",
    ),
    Prune(
        "what calendars of others said",
        Period.CALENDARS,
        "booking",
        _where(
            _BOOKING,
            lambda limit, _now: and_(
                _over(limit),
                _BOOKING.c.note != "",
                _BOOKING.c.id.in_(select(_BUSY.c.booking_id)),
            ),
        ),
        emptied={"note": ""},
        shows=True,
    ),
    Prune(
        "whom to call for a hire",
        Period.HIRERS,
        "hire",
        _where(
            _HIRE,
            lambda limit, _now: and_(
                _has_words(_HIRE, "contact", "phone", "note"), _last_date(limit)
            ),
        ),
        emptied={"contact": "", "phone": "", "note": ""},
    ),
    Prune(
        "remarks on bookings",
        Period.REMARKS,
        "booking",
        _where(
            _BOOKING,
            lambda limit, _now: and_(_over(limit), _has_words(_BOOKING, "note", "overruled")),
        ),
        emptied={"note": "", "overruled": ""},
        shows=True,
    ),
    Prune(
        "remarks on matches",
        Period.REMARKS,
        "fixture",
        _where(
            _FIXTURE,
            lambda limit, _now: and_(
                _FIXTURE.c.day < limit.date(), _has_words(_FIXTURE, "officials", "note")
            ),
        ),
        emptied={"officials": "", "note": ""},
    ),
    Prune(
        "remarks on asks",
        Period.REMARKS,
        "waiting_ask",
        _where(
            _ASK,
            lambda limit, _now: and_(
                _ASK.c.day < limit.date(), _has_words(_ASK, "by", "note", "answer")
            ),
        ),
        emptied={"by": "", "note": "", "answer": ""},
    ),
    Prune(
        "remarks on offers",
        Period.REMARKS,
        "swap_offer",
        _where(
            _SWAP,
            lambda limit, _now: and_(_has_words(_SWAP, "by", "note"), limit > _OFFERED),
        ),
        emptied={"by": "", "note": ""},
    ),
    Prune(
        "who said who comes",
        Period.REMARKS,
        "turnout",
        _where(
            _TURNOUT,
            lambda limit, _now: and_(_TURNOUT.c.day < limit.date(), _TURNOUT.c.said_by != ""),
        ),
        emptied={"said_by": ""},
    ),
    Prune(
        "runs of share-outs",
        Period.PROPOSALS,
        "share_run",
        _where(_RUN, lambda limit, _now: _RUN.c.ended_at < limit),
    ),
    Prune(
        "proposals",
        Period.PROPOSALS,
        "share_out",
        _where(
            _SHARE_OUT,
            lambda limit, _now: and_(
                _SHARE_OUT.c.created_at < limit,
                _SHARE_OUT.c.published_at.is_(None),
                _is_unused(_SHARE_OUT),
            ),
        ),
    ),
)
