"""Short mails about what waits for one person, written down in the transaction that makes it wait.

They are delivered beside the mails about changes (`services/mails/sending/hint_mails.py`); the
person's start page marks the same, so that nothing depends on mail.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import delete, select

from clubplanner.domain.club.people import Role
from clubplanner.language import ENGLISH, speaking
from clubplanner.outputs.calendars.invitation import Mailbox
from clubplanner.services.rows.coach_rows import coaches_of
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.knowing_tables import HintRow
from clubplanner.store.tables.notice_tables import MailOffRow, MailState
from clubplanner.store.tables.people_tables import PersonRow

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from datetime import datetime

    from sqlalchemy.orm import Session


@dataclass(frozen=True, slots=True)
class Hint:
    """What to tell.

    Attributes:
        about: What it is about: "swap 3"; what is settled is no longer told.
        path: The page to go to, from the slash on.
        ends_at: After this it helps nobody.
        words: Gives subject and text, in the language spoken when it is called.
    """

    about: str
    path: str
    ends_at: datetime
    words: Callable[[], tuple[str, str]]


def hint_coaches(session: Session, squad_id: int | None, hint: Hint, now: datetime) -> None:
    """Tell whoever looks after a squad."""
    contacts = () if squad_id is None else coaches_of(session, [squad_id])[squad_id]
    _write(session, ((one.name, one.email) for one in contacts), hint, now)


def hint_secretaries(session: Session, hint: Hint, now: datetime) -> None:
    """Tell the secretaries."""
    rows = session.execute(
        select(PersonRow.name, PersonRow.email).where(
            PersonRow.role == Role.SECRETARY, PersonRow.may_sign_in.is_(True)
        )
    )
    _write(session, ((name, email) for name, email in rows), hint, now)


def drop_hints(session: Session, about: str) -> None:
    """Do not send any more what has not been sent about something that is settled."""
    session.execute(
        delete(HintRow).where(HintRow.about == about, HintRow.state == MailState.WAITING)
    )


def _write(session: Session, people: Iterable[tuple[str, str]], hint: Hint, now: datetime) -> None:
    seen = set(session.scalars(select(MailOffRow.address)))
    language = session.scalars(select(ClubRow.language)).first() or ENGLISH
    with speaking(language):
        subject, text = hint.words()
    for name, address in people:
        if not address or address.lower() in seen:
            continue
        seen.add(address.lower())
        try:
            Mailbox(name, address)
        except ValueError:  # loaded before addresses were checked: nothing can be sent there
            continue
        session.add(
            HintRow(
                message_id=uuid.uuid4().hex,
                about=hint.about,
                address=address,
                name=name,
                subject=subject,
                text=text,
                path=hint.path,
                made_at=now,
                ends_at=hint.ends_at,
                next_try_at=now,
                attempts=0,
                state=MailState.WAITING,
                ended_at=None,
                words="",
            )
        )
