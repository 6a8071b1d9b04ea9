"""What waits to be told to people, in figures, for those who run the planner."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.services.mails.sending.pauses import find_pause
from clubplanner.store.tables.notice_tables import MailRow, MailState
from clubplanner.store.tables.push_tables import PushRow, PushState

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.store.engine import Store

REFUSED_WITHIN = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Backlog:
    """What waits.

    Attributes:
        mails: That are due and not handed over, those that wait for a mail server included.
        refused: That were refused for good within `REFUSED_WITHIN`.
        pushes: Notices to phones that are due and not handed over.
        oldest_s: For how long the oldest mail or notice has been due, or the mail server has
            refused all of them, seconds; 0 for none.
    """

    mails: int
    refused: int
    pushes: int
    oldest_s: float


def see_backlog(store: Store, now: datetime) -> Backlog:
    """Count what waits at a moment."""
    with store.read() as session:
        mails = session.execute(
            select(func.count(MailRow.id), func.min(MailRow.next_try_at)).where(
                MailRow.state == MailState.WAITING, MailRow.next_try_at <= now
            )
        ).one()
        pushes = session.execute(
            select(func.count(PushRow.id), func.min(PushRow.next_try_at)).where(
                PushRow.state == PushState.WAITING, PushRow.next_try_at <= now
            )
        ).one()
        refused = session.scalars(
            select(func.count(MailRow.id)).where(
                MailRow.state == MailState.REFUSED, MailRow.ended_at > now - REFUSED_WITHIN
            )
        ).one()
        pause = find_pause(session)
        since = [mails[1], pushes[1], pause.since if pause and mails[0] else None]
    ages = [(now - each).total_seconds() for each in since if each is not None]
    return Backlog(mails[0], refused, pushes[0], max(ages, default=0.0))
