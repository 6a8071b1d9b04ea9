"""Who is written to about a squad: the one place that all others ask."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.outputs.calendars.invitation import Mailbox
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.notice_tables import MailOffRow

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy.orm import Session

    from clubplanner.store.tables.squad_tables import SquadRow


@dataclass(frozen=True, slots=True)
class Recipients:
    """Who is written to.

    Attributes:
        links: Addresses with a mail address, oldest first.
        off: Mail addresses, in small letters, that want none.
    """

    links: tuple[LinkRow, ...]
    off: frozenset[str]

    @classmethod
    def load(cls, session: Session) -> Recipients:
        """Load everybody at once."""
        links = session.scalars(
            select(LinkRow)
            .where(LinkRow.revoked_at.is_(None), LinkRow.email != "")
            .order_by(LinkRow.id)
        )
        return cls(tuple(links), frozenset(session.scalars(select(MailOffRow.address))))

    def told_about(self, squad: SquadRow) -> Iterator[Mailbox]:
        """Yield who is written to about a squad, each address once."""
        for mailbox in self.noted_for(squad):
            if mailbox.address.lower() not in self.off:
                yield mailbox

    def noted_for(self, squad: SquadRow) -> Iterator[Mailbox]:
        """Yield whose addresses are noted for a squad, also those that want no mails."""
        links = [
            link for link in self.links if squad.id == link.squad_id or squad.coach == link.coach
        ]
        named = [(squad.coach, squad.coach_email), *((link.holder, link.email) for link in links)]
        seen: set[str] = set()
        for name, address in named:
            if not address or address.lower() in seen:
                continue
            seen.add(address.lower())
            try:
                yield Mailbox(name, address)
            except ValueError:  # loaded before addresses were checked: nothing can be sent there
                continue
