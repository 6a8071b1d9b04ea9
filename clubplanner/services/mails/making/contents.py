"""What a mail tells, as it is kept with it, and the mail made of that."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Booking
from clubplanner.domain.club.told.notices import NotedChange
from clubplanner.domain.times.times import TimeRange
from clubplanner.outputs.calendars.invitation import Mailbox
from clubplanner.outputs.mails.mail import Notice
from clubplanner.outputs.mails.mail_words import ChangeNotice, Holding
from clubplanner.services.calendars.feed_events import EventMaker, ground_in_words
from clubplanner.services.calendars.feed_subjects import load_followers
from clubplanner.services.rows.named import find_pitch
from clubplanner.services.rows.own_club import is_own_squad
from clubplanner.services.rows.snapshot import load_club, load_venues
from clubplanner.services.showing.light_words import light_in_words
from clubplanner.services.showing.states.session_states import load_states
from clubplanner.store.journal.states import state_from_stored, stored_state
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date
    from email.message import EmailMessage

    from sqlalchemy import Select
    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.journal import BookingState
    from clubplanner.store.tables.notice_tables import MailRow

PREVIEW_SECRET = "the-address"  # noqa: S105 - stands where a real one would
PREVIEW_SENDER = "club@clubplanner.invalid"


def stored_change(change: NotedChange) -> dict[str, Any]:
    """Write a change as a mail keeps it."""
    return {
        "number": change.number,
        "before": None if change.before is None else stored_state(change.before),
        "after": stored_state(change.after),
        "sequence": change.sequence,
        "changed_at": int(change.changed_at.timestamp()),
        "squad_id": change.squad_id,
        "is_left": change.is_left,
    }


def change_from_stored(stored: dict[str, Any]) -> NotedChange:
    """Read a change that a mail keeps."""
    before = stored["before"]
    return NotedChange(
        stored["number"],
        None if before is None else state_from_stored(before),
        state_from_stored(stored["after"]),
        stored["sequence"],
        datetime.fromtimestamp(stored["changed_at"], UTC),
        stored.get("squad_id"),
        stored.get("is_left", False),
    )


def squads_of_mail(mail: MailRow) -> dict[int, bool]:
    """Return the numbers of the squads a mail is about: may its reader open their pages?

    One that tells of no change is about its own.
    """
    found: dict[int, bool] = {} if mail.changes else {mail.squad_id: False}
    for change in map(change_from_stored, mail.changes):
        squad_id = change.squad_id or mail.squad_id
        found[squad_id] = found.get(squad_id, False) or not change.is_left
    return found


def is_own_mail(session: Session, mail: MailRow) -> bool:
    """Tell whether whoever looks may see a mail: not where it tells of other clubs' squads, too."""
    return all(is_own_squad(session, squad) for squad in squads_of_mail(mail))


def notice_of(
    session: Session,
    mail: MailRow,
    *,
    public_address: str,
    secrets: Mapping[int, str],
    sender: str,
    sent_at: datetime,
) -> Notice:
    """Return what a mail says, ready to be composed: the same at every try but for secret and date.

    Args:
        session: A reading session.
        mail: The mail.
        public_address: How people reach the pages.
        secrets: The secret part of this mail's own address of each of its squads.
        sender: The club's mail address.
        sent_at: When it is handed over (RFC 5322, section 3.6.1), which may be long after it was
            made.

    Raises:
        MissingError: If the ground it tells of is no longer in the records.
    """
    club = load_club(session)
    noted = [change_from_stored(each) for each in mail.changes]
    told = BookingRow.id.in_([change.number for change in noted])
    venues = load_venues(session)
    bookings = [booking_of(session, change, change.after) for change in noted]
    maker = EventMaker(
        venues,
        club.time_zone,
        "",
        followers=load_followers(session, told, mail.made_at),
        states=load_states(session, bookings, venues, club.time_zone),
    )
    opens = squads_of_mail(mail)
    squads = {row.id: row for row in session.scalars(_squads(opens))}
    pages = {number: f"{public_address}/ground/{secrets[number]}" for number in squads}
    today = sent_at.astimezone(club.time_zone).date()
    changes = []
    for change in noted:
        number = change.squad_id or mail.squad_id
        one = told_change(session, replace(maker, page_url=pages[number]), change, today)
        name = squads[number].name if len(squads) > 1 else ""
        changes.append(replace(one, squad_name=name, is_left=change.is_left))
    domain = sender.rpartition("@")[2]
    return Notice(
        squad_name=", ".join(squad.name for squad in squads.values()),
        sender=Mailbox(club.name, sender),
        recipient=Mailbox(mail.name, mail.address),
        zone=club.zone,
        changes=tuple(changes),
        pages=tuple((squads[number].name, pages[number]) for number in squads if opens[number]),
        mail_off_url=f"{public_address}/mails/{secrets[mail.squad_id]}",
        message_id=f"<{mail.message_id}@{domain}>",
        sent_at=sent_at,
    )


def _squads(numbers: Iterable[int]) -> Select[SquadRow]:
    return select(SquadRow).where(SquadRow.id.in_(list(numbers))).order_by(SquadRow.position)


def text_of_mail(message: EmailMessage) -> str:
    """Return a mail's words, for a page that shows it."""
    body = message.get_body(("plain",))
    return "" if body is None else str(body.get_content())


def told_change(
    session: Session, maker: EventMaker, change: NotedChange, today: date
) -> ChangeNotice:
    """Return a change with all that words about it need.

    Args:
        session: A reading session.
        maker: Makes the events; it knows what is true of the bookings.
        change: What changed.
        today: The local date of whoever reads it.

    Raises:
        MissingError: If its ground is no longer in the records.
    """
    booking = booking_of(session, change, change.after)
    was = None
    if change.before is not None and not change.before.is_withdrawn:
        before = booking_of(session, change, change.before)
        during = before.during
        was = Holding(during.starts_at, during.ends_at, ground_in_words(maker.venues, before))
    venue, pitch = find_pitch(maker.venues, booking.pitch_key)
    day = booking.during.starts_at.astimezone(maker.zone).date()
    light = light_in_words(pitch, venue, day, maker.zone)
    return ChangeNotice(
        event=maker.event_of(booking, is_left=change.is_left),
        told=maker.told(booking, today, is_left=change.is_left),
        ground=ground_in_words(maker.venues, booking),
        was=was,
        light_until=light.usable_until,
        light_from=light.usable_from,
        is_back=change.before is not None and change.before.is_withdrawn,
    )


def booking_of(session: Session, change: NotedChange, state: BookingState) -> Booking:
    """Return a booking as it was told of, before or after a change."""
    row = session.get_one(BookingRow, change.number)
    area = session.get_one(AreaRow, state.area_id)
    squad = None if state.squad_id is None else session.get(SquadRow, state.squad_id)
    return Booking(
        number=change.number,
        uid=row.uid,
        pitch_key=area.pitch.key,
        area_key=area.key,
        cells=area.cells,
        during=TimeRange(state.starts_at, state.ends_at),
        purpose=state.purpose,
        squad_key=None if squad is None else squad.key,
        holder=state.holder if squad is None else squad.name,
        note=state.note,
        is_withdrawn=state.is_withdrawn,
        sequence=change.sequence,
        changed_at=change.changed_at,
        is_fixed=state.is_fixed,
    )
