"""What coaches do: hand a session back, ask for one, ask for more ground.

An ask is served at once where ground is free; else it waits until some becomes free (a session
handed back, a closure lifted) and is served in fair order. The secretary sees all of it, and may
grant, refuse, or take back what was granted.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.domain.booked.waiting import AskState
from clubplanner.domain.club.people import Role
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    clock_in_zone,
    end_clock_in_zone,
    minute_from_instant,
    range_from_wall,
    range_left,
    short_day,
)
from clubplanner.errors import FaultyInputError, MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.giving.hopeless_asks import why_never
from clubplanner.services.giving.waiting_list import load_waiting, serve_waiting
from clubplanner.services.rows.bookings.booking_rows import note_change
from clubplanner.services.rows.named import find_squad
from clubplanner.services.rows.people.turnouts import load_turnout, note_turnout
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.journal.journal import describe_change, explain_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.season_tables import WaitingAskRow

if TYPE_CHECKING:
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.people import Person
    from clubplanner.store.engine import Store

SHORTEST, LONGEST = 15, 240
MOST_WAITING = 10
"""Asks of one squad that may wait at the same time."""


@dataclass(frozen=True, slots=True)
class SessionAsk:
    """A session that a coach asks for.

    Attributes:
        squad_key: For whom.
        day: Local date.
        from_min: Earliest start.
        to_min: Latest end.
        minutes: How long.
        least_share: Least part of a pitch, such as 1/3; 0 for any.
        note: May be blank.
    """

    squad_key: str
    day: date
    from_min: int
    to_min: int
    minutes: int
    least_share: float = 0.0
    note: str = ""


def hand_back(
    store: Store, person: Person, number: int, sequence: int, now: datetime, *, why: str = ""
) -> str:
    """Give a session back; whoever waits for such ground is served.

    Args:
        store: The database.
        person: Who hands it back: its coach, or the secretary.
        number: The booking's number.
        sequence: The change the person was looking at.
        now: The present instant.
        why: For whoever comes for it; blank for nothing.

    Returns:
        What was done, a sentence.

    Raises:
        MissingError: If it is none of the person's sessions.
        OutdatedError: If somebody changed it in the meantime.
        RefusedError: If it is over.
    """
    with store.write(brief=True) as session:
        row = own_session(session, person, number)
        refuse_outdated(session, row, sequence)
        if row.starts_at <= now:
            raise RefusedError(_("This session has begun; it can no longer be handed back."))
        row.is_withdrawn = True
        note_change(row, now)
        zone = load_zone(session)
        date_of_it = row.starts_at.astimezone(zone).date()
        day = short_day(date_of_it)
        _stay_away(session, row, date_of_it, person, now)
        describe_change(
            session,
            _(
                "%(holder)s handed back %(area)s, %(day)s",
                holder=row.holder,
                area=row.area.name,
                day=day,
            ),
        )
        by = Cause.COACH if person.role is Role.COACH else Cause.SECRETARY
        explain_change(session, Reason(by, why))
    served = serve_waiting(store, now)
    words = _("Handed back: %(holder)s, %(day)s. The ground is free.", holder=row.holder, day=day)
    return " ".join([words, *served])


def _stay_away(session: Session, row: BookingRow, day: date, person: Person, now: datetime) -> None:
    """Note that a squad does not come that day, or a share-out would find it ground again.

    Another session of the squad on that day still stands: then it comes.
    """
    during = range_from_wall(day, 0, MINUTES_A_DAY, load_zone(session))
    others = select(BookingRow.id).where(
        BookingRow.squad_id == row.squad_id,
        BookingRow.id != row.id,
        BookingRow.is_withdrawn.is_(False),
        BookingRow.starts_at >= during.starts_at,
        BookingRow.starts_at < during.ends_at,
    )
    if row.squad_id is not None and session.scalars(others).first() is None:
        said = replace(load_turnout(session, row.squad_id, day), is_coming=False)
        note_turnout(session, row.squad_id, day, said, person.name, now)


def ask_for_session(store: Store, person: Person, wish: SessionAsk, now: datetime) -> str:
    """Ask for a session as `add_ask` does, and say what became of it, a sentence."""
    return _outcome(store, add_ask(store, person, wish, now))


def add_ask(store: Store, person: Person, wish: SessionAsk, now: datetime) -> int:
    """Ask for a session; it is booked at once where ground is free, else it waits.

    Returns:
        The ask's number.

    Raises:
        MissingError: If the squad is none of the person's.
        FaultyInputError: If it can never be had, whoever hands back what; names the field.
        RefusedError: If it cannot be: passed, too long, too many asks waiting.
    """
    _check(person, wish, now, store)
    with store.write() as session:
        squad = find_squad(session, wish.squad_key)
        _refuse_many(session, squad.id)
        row = WaitingAskRow(
            squad_id=squad.id,
            day=wish.day,
            from_min=wish.from_min,
            to_min=wish.to_min,
            minutes=wish.minutes,
            least_share=wish.least_share,
            wants_more=False,
            booking_id=None,
            by=person.name,
            note=wish.note,
            asked_at=now,
            state=AskState.WAITING.value,
            answer="",
        )
        session.add(row)
        session.flush()
        never = why_never(session, row, now)
        if never is not None:
            raise FaultyInputError([never])
        number = row.id
    serve_waiting(store, now)
    return number


def ask_for_more(store: Store, person: Person, number: int, note: str, now: datetime) -> str:
    """Ask for more ground as `add_ask_for_more` does, and say what became of it, a sentence."""
    return _outcome(store, add_ask_for_more(store, person, number, note, now))


def add_ask_for_more(store: Store, person: Person, number: int, note: str, now: datetime) -> int:
    """Ask for more ground for a session, at the same time.

    Returns:
        The ask's number.

    Raises:
        MissingError: If it is none of the person's sessions.
        RefusedError: If it has begun, already waits for more ground, or no larger ground would do.
    """
    with store.write() as session:
        booking = own_session(session, person, number)
        if booking.starts_at <= now:
            raise RefusedError(_("This session has begun."))
        zone = load_zone(session)
        day = booking.starts_at.astimezone(zone).date()
        start = minute_from_instant(booking.starts_at, day, zone)
        minutes = TimeRange(booking.starts_at, booking.ends_at).minutes
        waiting = select(WaitingAskRow).where(
            WaitingAskRow.booking_id == number, WaitingAskRow.state == AskState.WAITING.value
        )
        if session.scalars(waiting).first() is not None:
            raise RefusedError(_("This session waits for more ground already."))
        _refuse_many(session, booking.squad_id or 0)
        row = WaitingAskRow(
            squad_id=booking.squad_id,
            day=day,
            from_min=start,
            to_min=start + minutes,
            minutes=minutes,
            least_share=0.0,
            wants_more=True,
            booking_id=number,
            by=person.name,
            note=note,
            asked_at=now,
            state=AskState.WAITING.value,
            answer="",
        )
        session.add(row)
        session.flush()
        never = why_never(session, row, now)
        if never is not None:
            raise RefusedError(never.message)
        asked = row.id
    serve_waiting(store, now)
    return asked


def take_back_ask(store: Store, person: Person, number: int) -> str:
    """Take back an ask of one's own.

    Raises:
        MissingError: If it is none of the person's, or no longer waits.
    """
    with store.write(brief=True) as session:
        row = load_waiting(session, number)
        if not person.looks_after(row.squad.key):
            raise MissingError(_("There is no such ask of yours."))
        row.state = AskState.TAKEN_BACK.value
        return _("Taken back.")


def own_session(session: Session, person: Person, number: int) -> BookingRow:
    """Return a live training of one of the person's squads.

    Raises:
        MissingError: If it is none of these.
    """
    row = session.get(BookingRow, number)
    mine = row is not None and row.squad is not None and person.looks_after(row.squad.key)
    if row is None or not mine or row.is_withdrawn or row.purpose is not Purpose.TRAINING:
        raise MissingError(_("There is no such session of your squads; look at your own page."))
    return row


def refuse_outdated(session: Session, row: BookingRow, sequence: int) -> None:
    """Refuse to act on a booking that somebody has changed since it was looked at.

    Raises:
        RefusedError: Saying what it is now.
    """
    if row.sequence != sequence:
        zone = load_zone(session)
        raise RefusedError(
            _(
                "Somebody has changed this session meanwhile: %(holder)s now have %(area)s "
                "%(starts_at)s–%(ends_at)s. Look again.",
                holder=row.holder,
                area=row.area.name,
                starts_at=clock_in_zone(row.starts_at, zone),
                ends_at=end_clock_in_zone(row.ends_at, zone),
            )
        )


def _outcome(store: Store, number: int) -> str:
    with store.read() as session:
        row = session.get_one(WaitingAskRow, number)
        if row.state == AskState.GRANTED.value:
            return row.answer
        return _(
            "No ground that would do is free then. You are on the waiting list and get the "
            "next that is handed back, by fair turn; the secretary sees it too."
        )


def _check(person: Person, wish: SessionAsk, now: datetime, store: Store) -> None:
    if not person.looks_after(wish.squad_key):
        raise MissingError(_("You look after no such squad; ask the secretary if you should."))
    if not SHORTEST <= wish.minutes <= LONGEST:
        raise RefusedError(
            _("Ask for %(shortest)s to %(longest)s minutes.", shortest=SHORTEST, longest=LONGEST)
        )
    with store.read() as session:
        zone = load_zone(session)
    during = range_left(wish.day, wish.from_min, wish.to_min, zone)
    if during is None and wish.from_min < wish.to_min:
        raise RefusedError(_("Nothing is left between these times: the clocks change there."))
    if during is None or during.minutes < wish.minutes:
        raise RefusedError(_("The session does not fit between these times; give it more room."))
    if during.ends_at <= now:
        raise RefusedError(_("This time has passed; choose a later one."))


def _refuse_many(session: Session, squad_id: int) -> None:
    count = session.scalar(
        select(func.count(WaitingAskRow.id)).where(
            WaitingAskRow.squad_id == squad_id, WaitingAskRow.state == AskState.WAITING.value
        )
    )
    if (count or 0) >= MOST_WAITING:
        raise RefusedError(
            _(
                "%(most_waiting)s asks of this squad wait already; take one back first.",
                most_waiting=MOST_WAITING,
            )
        )
