"""While the mail server refuses the club itself, all mails wait, and the secretary is told why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.club.told.notices import pause_after
from clubplanner.store.tables.notice_tables import MailPauseRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store


def find_pause(session: Session) -> MailPauseRow | None:
    """Return why no mail goes out; None while the server takes mails."""
    return session.get(MailPauseRow, 1)


def is_paused(store: Store, now: datetime) -> bool:
    """Tell whether it is too early to try the server again."""
    with store.read() as session:
        pause = find_pause(session)
        return pause is not None and now < pause.next_try_at


def note_refusal(session: Session, words: str, now: datetime) -> None:
    """Let all mails wait: 2, 4, 8 … minutes, at most an hour, until the server takes one."""
    pause = find_pause(session)
    if pause is None:
        pause = MailPauseRow(since=now, tries=0)
        session.add(pause)
    pause.tries += 1
    pause.next_try_at = now + pause_after(pause.tries)
    pause.words = words


def note_answer(session: Session) -> None:
    """Note that the server takes mails of the club's, whatever it said of one of them."""
    pause = find_pause(session)
    if pause is not None:
        session.delete(pause)


def try_server_again(store: Store, now: datetime) -> bool:
    """Let the next round try the server, however long the wait would have been.

    Returns:
        Whether mails were waiting for it.
    """
    with store.write() as session:
        pause = find_pause(session)
        if pause is None:
            return False
        pause.next_try_at = now
        return True
