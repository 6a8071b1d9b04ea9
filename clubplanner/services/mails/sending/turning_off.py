"""Turning mails off and on, by the address that stands in a mail."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.addresses.links import LONGEST_SECRET, hash_secret
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.notice_tables import MailOffRow, MailRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class MailChoice:
    """Whether somebody gets mails.

    Attributes:
        address: Their mail address.
        is_off: Whether it gets none.
    """

    address: str
    is_off: bool


def see_mail_choice(store: Store, secret: str) -> MailChoice:
    """Show whether the person a mail was written to gets mails.

    Raises:
        MissingError: If the address stands in no mail of ours.
    """
    with store.read() as session:
        address = _address_of(session, secret)
        return MailChoice(address, is_mail_off(session, address))


def turn_mails(store: Store, secret: str, *, off: bool, now: datetime) -> MailChoice:
    """Turn all mails to the person a mail was written to off, or on again.

    It works as long as the mail is remembered, also when the page behind it was withdrawn.

    Raises:
        MissingError: If the address stands in no mail of ours.
    """
    with store.write() as session:
        address = _address_of(session, secret)
        row = session.get(MailOffRow, address.lower())
        if off and row is None:
            session.add(MailOffRow(address=address.lower(), since=now))
        elif not off and row is not None:
            session.delete(row)
    return MailChoice(address, off)


def is_mail_off(session: Session, address: str) -> bool:
    """Tell whether a mail address wants no mails."""
    return session.get(MailOffRow, address.lower()) is not None


def _address_of(session: Session, secret: str) -> str:
    if len(secret) <= LONGEST_SECRET:
        found = session.scalars(
            select(MailRow.address)
            .join(LinkRow, LinkRow.mail_id == MailRow.id)
            .where(LinkRow.secret_hash == hash_secret(secret))
        ).first()
        if found is not None:
            return found
    raise MissingError(
        _("This address stands in no mail that is remembered here; use the one in the newest mail.")
    )
