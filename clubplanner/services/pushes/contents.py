"""What a notice on a phone says, as the script there reads it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.state_words import reason_in_words
from clubplanner.language import speaking
from clubplanner.outputs.pushes.push_words import PushedChange, push_words
from clubplanner.services.calendars.feed_events import EventMaker
from clubplanner.services.mails.making.contents import booking_of, change_from_stored, told_change
from clubplanner.services.pushes.readers import place_of
from clubplanner.services.rows.snapshot import load_club, load_venues
from clubplanner.services.showing.states.session_states import load_states
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.tables.push_tables import PushRow


@dataclass(frozen=True, slots=True)
class PushMessage:
    """A notice, ready to be encrypted.

    Attributes:
        text: JSON, UTF-8: `title`, `body`, `lang`, `tag`, `number` (the same at every try) and
            where a tap leads: a `path` on our pages, or a `place` that the phone remembers the
            address of, with the `date`.
        ends_at: When what it tells is over: then nobody needs it any more.
    """

    text: bytes
    ends_at: datetime


def message_of(session: Session, push: PushRow, public_address: str, now: datetime) -> PushMessage:
    """Return what a notice says, in the language its browser was read in.

    Args:
        session: A reading session.
        push: The notice.
        public_address: How people reach the pages.
        now: The present instant: "today" is told by it.

    Raises:
        MissingError: If the ground it tells of is no longer in the records.
    """
    club = load_club(session)
    changes = [change_from_stored(each) for each in push.changes]
    venues = load_venues(session)
    bookings = [booking_of(session, change, change.after) for change in changes]
    maker = EventMaker(
        venues,
        club.time_zone,
        f"{public_address}/coach",
        states=load_states(session, bookings, venues, club.time_zone),
    )
    today = now.astimezone(club.time_zone).date()
    with speaking(push.reader.language):
        notices = [told_change(session, maker, change, today) for change in changes]
        told = [
            PushedChange(notice, change.after.purpose, reason_in_words(notice.told.state.reason))
            for notice, change in zip(notices, changes, strict=True)
        ]
        following = _following(session, push, {change.number for change in changes}, now)
        words = push_words(push.squad.name, told, following, now, club.time_zone)
    first = told[0].notice.event
    day = first.starts_at.astimezone(club.time_zone).date().isoformat()
    link = push.reader.link_id
    if link is None:
        leads = {"path": f"/coach/squads/{push.squad.key}?date={day}"}
    else:
        leads = {"place": place_of(link), "date": day}
    text = {
        "title": words.title,
        "body": words.body,
        "lang": push.reader.language,
        "tag": push.tag,
        "number": push.id,
        **leads,
    }
    held = [state for change in changes for state in (change.before, change.after) if state]
    ends_at = max(state.ends_at for state in held)
    return PushMessage(json.dumps(text, ensure_ascii=False).encode(), ends_at)


def _following(
    session: Session, push: PushRow, besides: set[int], now: datetime
) -> datetime | None:
    """Return when the squad's next session starts, besides those that are told of."""
    return session.scalars(
        select(BookingRow.starts_at)
        .where(
            BookingRow.squad_id == push.squad_id,
            BookingRow.is_withdrawn.is_(False),
            BookingRow.starts_at > now,
            BookingRow.id.not_in(besides),
        )
        .order_by(BookingRow.starts_at)
        .limit(1)
    ).first()
