"""Browsers that asked to be told: taken in, listed, and forgotten when they end."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from sqlalchemy import and_, delete, func, or_, select
from sqlalchemy.orm import joinedload

from clubplanner.domain.club.people import Role
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _, spoken
from clubplanner.outputs.pushes.encryption import BrowserKeys, from_words
from clubplanner.services.addresses.links import hash_secret, link_of_secret
from clubplanner.services.addresses.reach import Reach, reach_of
from clubplanner.services.calendars.feed_subjects import subject_of
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.people_tables import BrowserRow, PersonRow
from clubplanner.store.tables.push_tables import PushReaderRow

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy import ColumnElement, Select
    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store
    from clubplanner.store.tables.squad_tables import SquadRow

ENDPOINT_LIMIT = 2000
"""Characters of an address (common practice, no source)."""
MOST_READERS = 300
"""Browsers behind one address, so that nobody has us call on others without end."""
MARK_DIGITS = 16
_ENDPOINT = re.compile(r"https://[!-~]+")


@dataclass(frozen=True, slots=True)
class SignedInBrowser:
    """A browser in which somebody is signed in.

    Attributes:
        secret: What it keeps.
    """

    secret: str = field(repr=False)


@dataclass(frozen=True, slots=True)
class ReaderWish:
    """What a browser says of itself when it asks to be told (Push API, section 8).

    Attributes:
        endpoint: Where its service takes messages for it.
        public_key: "p256dh", base64url.
        auth: "auth", base64url.
    """

    endpoint: str = field(repr=False)
    public_key: str = field(repr=False)
    auth: str = field(repr=False)


@dataclass(frozen=True, slots=True)
class Telling:
    """Who is told on a page.

    Attributes:
        page: Path of the page without the secret part; of a coach's own page, all of it.
        place: What the page is called in notices; blank for a coach's own.
        marks: Of each browser that is told there, the first digits of its endpoint's SHA-256: a
            browser finds itself among them, and nobody gets to know another.
    """

    page: str
    place: str
    marks: tuple[str, ...]


def tell_browser(store: Store, way: str | SignedInBrowser, wish: ReaderWish, now: datetime) -> None:
    """Tell a browser of changes from now on, in the language spoken now.

    Args:
        store: The database.
        way: The secret of the squad's or coach's address it is behind, or who is signed in there.
        wish: What it says of itself.
        now: The present instant.

    Raises:
        MissingError: If the address is unknown or revoked, or nobody is signed in.
        RefusedError: If it cannot be told, saying why.
    """
    _check(wish)
    with store.write() as session:
        owner = _owner(session, way, now)
        mine = _of_owner(owner)
        row = session.scalars(
            select(PushReaderRow).where(mine, PushReaderRow.endpoint == wish.endpoint)
        ).first()
        if row is None:
            if "browser_id" in owner:  # one browser has one endpoint
                session.execute(delete(PushReaderRow).where(mine))
            count = session.scalar(select(func.count()).select_from(PushReaderRow).where(mine))
            if (count or 0) >= MOST_READERS:
                raise RefusedError(
                    _("So many phones are told behind this address that no more fit.")
                )
            row = PushReaderRow(**owner, endpoint=wish.endpoint, created_at=now)
            session.add(row)
        row.public_key, row.auth, row.language = wish.public_key, wish.auth, spoken()


def stop_telling(store: Store, way: str | SignedInBrowser, endpoint: str, now: datetime) -> None:
    """Tell a browser no more; one that was not told stays so.

    Raises:
        MissingError: If the address is unknown or revoked, or nobody is signed in.
    """
    with store.write() as session:
        mine = _of_owner(_owner(session, way, now))
        session.execute(delete(PushReaderRow).where(mine, PushReaderRow.endpoint == endpoint))


def see_telling(store: Store, way: str | SignedInBrowser, now: datetime) -> Telling:
    """Show who is told behind an address, or whether a signed-in browser is.

    Raises:
        MissingError: If the address is unknown or revoked, or nobody is signed in.
    """
    with store.read() as session:
        owner = _owner(session, way, now)
        endpoints = session.scalars(
            select(PushReaderRow.endpoint).where(_of_owner(owner)).order_by(PushReaderRow.id)
        )
        marks = tuple(mark_of(endpoint) for endpoint in endpoints)
        if "link_id" not in owner:
            return Telling("/coach", "", marks)
        link = session.get_one(LinkRow, owner["link_id"])
        return Telling(f"/{subject_of(link).page}/", place_of(link.id), marks)


def mark_of(endpoint: str) -> str:
    """Return by which a browser finds itself among those that are told."""
    return hashlib.sha256(endpoint.encode()).hexdigest()[:MARK_DIGITS]


def place_of(link_id: int) -> str:
    """Return what the page of an address is called in notices: its secret is not known."""
    return f"address-{link_id}"


def load_readers(session: Session, now: datetime) -> list[PushReaderRow]:
    """Return all browsers that are told, oldest first, with what `concerns` reads."""
    signed_in = joinedload(PushReaderRow.browser).joinedload(BrowserRow.person)
    with_address = joinedload(PushReaderRow.link).joinedload(LinkRow.person)
    rows = session.scalars(
        _joined()
        .where(is_live(now))
        .order_by(PushReaderRow.id)
        .options(*(way.joinedload(PersonRow.squads) for way in (signed_in, with_address)))
    )
    return list(rows.unique())


def forget_ended(session: Session, now: datetime) -> None:
    """Forget browsers whose address was withdrawn, or in which nobody is signed in any more."""
    ended = _joined().where(~is_live(now)).with_only_columns(PushReaderRow.id)
    numbers = session.scalars(ended).all()
    if numbers:
        session.execute(delete(PushReaderRow).where(PushReaderRow.id.in_(numbers)))


def is_still_told(session: Session, number: int, now: datetime) -> bool:
    """Tell whether a browser is told still."""
    query = _joined().where(PushReaderRow.id == number, is_live(now))
    return session.scalars(query).first() is not None


def is_live(now: datetime) -> ColumnElement[bool]:
    """Return the condition that a browser is told still; for queries with all they join."""
    return or_(
        and_(LinkRow.id.is_not(None), LinkRow.revoked_at.is_(None)),
        and_(BrowserRow.id.is_not(None), BrowserRow.ends_at > now, PersonRow.may_sign_in),
    )


def concerns(reader: PushReaderRow, squad: SquadRow, gone_on: Mapping[int, frozenset[int]]) -> bool:
    """Tell whether a browser is told of a squad's changes.

    Args:
        reader: The browser.
        squad: The squad.
        gone_on: The numbers of squads that ended and go on in another, by its number.
    """
    if reader.link is not None:
        coach = reader.link.person
        squads = {squad.id, *gone_on.get(squad.id, ())}
        return reader.link.squad_id in squads or (coach is not None and squad in coach.squads)
    person = None if reader.browser is None else reader.browser.person
    return person is not None and person.role is Role.COACH and squad in person.squads


def _joined() -> Select[PushReaderRow]:
    return (
        select(PushReaderRow)
        .outerjoin(PushReaderRow.link)
        .outerjoin(PushReaderRow.browser)
        .outerjoin(BrowserRow.person)
    )


def _owner(session: Session, way: str | SignedInBrowser, now: datetime) -> dict[str, int]:
    if isinstance(way, SignedInBrowser):
        number = session.scalars(
            select(BrowserRow.id).where(
                BrowserRow.secret_hash == hash_secret(way.secret), BrowserRow.ends_at > now
            )
        ).first()
        if number is None:
            raise MissingError(_("Nobody is signed in with this browser; sign in again."))
        return {"browser_id": number}
    link = link_of_secret(session, way)
    if link.pitch_id is not None:
        raise MissingError(_("Behind a pitch's address no phone is told; use the squad's."))
    return {"link_id": link.id}


def _of_owner(owner: Mapping[str, int]) -> ColumnElement[bool]:
    ((name, number),) = owner.items()
    column = PushReaderRow.link_id if name == "link_id" else PushReaderRow.browser_id
    return column == number


def _check(wish: ReaderWish) -> None:
    """Refuse what cannot be sent to, and where a server of ours has no business to go.

    A name is looked up, and its addresses are checked, whenever something is sent there.
    """
    endpoint = wish.endpoint
    try:
        parts = urlsplit(endpoint)
        is_plain = parts.port != 0 and parts.username is None and parts.password is None
        BrowserKeys(from_words(wish.public_key), from_words(wish.auth))
    except ValueError:
        is_plain = False
    if (
        not is_plain
        or len(endpoint) > ENDPOINT_LIMIT
        or _ENDPOINT.fullmatch(endpoint) is None
        or reach_of(endpoint) is not Reach.ANYWHERE
    ):
        raise RefusedError(
            _(
                "This browser did not say where and how it can be told, so nothing was switched "
                "on. Open the page again and press the button once more, or use another browser."
            )
        )
