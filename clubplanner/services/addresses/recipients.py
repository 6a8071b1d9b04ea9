"""Whom to tell about a squad, and who is written to: the one place that all others ask."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.outputs.calendars.invitation import Mailbox
from clubplanner.services.rows.coach_rows import coaches_of
from clubplanner.services.rows.seasons.squad_seasons import squads_gone_on
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.notice_tables import MailOffRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.persons.coaches import Coach


@dataclass(frozen=True, slots=True)
class Recipients:
    """Who is written to.

    Attributes:
        contacts: The coaches of each squad by its number, the first one first.
        links: Addresses that are handed out, oldest first; those in mails are left out.
        off: Mail addresses, in small letters, that want none.
        gone_on: The numbers of squads that ended and go on in another, by its number.
    """

    contacts: Mapping[int, Sequence[Coach]]
    links: tuple[LinkRow, ...]
    off: frozenset[str]
    gone_on: Mapping[int, frozenset[int]] = field(default_factory=dict)

    @classmethod
    def load(cls, session: Session, now: datetime) -> Recipients:
        """Load everybody at once, as they are at an instant."""
        links = session.scalars(
            select(LinkRow)
            .where(LinkRow.revoked_at.is_(None), LinkRow.mail_id.is_(None))
            .order_by(LinkRow.id)
        )
        off = frozenset(session.scalars(select(MailOffRow.address)))
        return cls(coaches_of(session), tuple(links), off, squads_gone_on(session, now))

    def told_about(self, squad_id: int | None) -> Iterator[Mailbox]:
        """Yield who is written to about a squad, each address once."""
        named = [(one.name, one.email) for one in self.contacts.get(squad_id or 0, ())]
        named += [(link.holder, link.email) for link in self.links_of(squad_id)]
        seen = set(self.off)
        for name, address in named:
            if not address or address.lower() in seen:
                continue
            seen.add(address.lower())
            try:
                yield Mailbox(name, address)
            except ValueError:  # loaded before addresses were checked: nothing can be sent there
                continue

    def links_of(self, squad_id: int | None) -> Iterator[LinkRow]:
        """Yield the addresses that show a squad's sessions: its own, and those of its coaches."""
        if squad_id is None:
            return
        numbers = {one.number for one in self.contacts.get(squad_id, ())}
        squads = {squad_id, *self.gone_on.get(squad_id, ())}
        for link in self.links:
            if link.squad_id in squads or link.person_id in numbers:
                yield link
