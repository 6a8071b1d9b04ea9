"""Asking for a session or for more ground, and serving the waiting list by fair turn.

An ask is served at once where ground is free; else it waits until some becomes free (a session
handed back, a closure lifted) and is served in fair order. The secretary sees all of it, and may
grant, refuse, or take back what was granted.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.bookings import Purpose
from clubplanner.domain.times import (
    TimeRange,
    clock_from_minute,
    clock_in_zone,
    minute_from_instant,
    range_from_wall,
    short_day,
)
from clubplanner.domain.waiting import AskState, InLine, fair_order
from clubplanner.errors import MissingError, RefusedError
from clubplanner.services.booking_rows import (
    BookingWish,
    insert_booking,
    load_area,
    note_change,
    place_booking,
)
from clubplanner.services.fairness import served_so_far
from clubplanner.services.links import find_squad
from clubplanner.services.places import find_places, place_in_words
from clubplanner.services.snapshot import load_zone
from clubplanner.services.waiting_needs import need_of_ask, scene_of_ask
from clubplanner.store.journal import describe_change
from clubplanner.store.season_tables import WaitingAskRow
from clubplanner.store.tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.people import Person
    from clubplanner.domain.places import Place
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


@dataclass(frozen=True, slots=True)
class AskLine:
    """An ask in the list.

    Attributes:
        number: The ask's number.
        squad_key: For whom.
        squad_name: The same in words.
        words: What is asked for.
        by: Who asked.
        note: May be blank.
        state: What has become of it.
        answer: More about that; may be blank.
        places: Free places now, value and words, for a waiting ask where wanted.
    """

    number: int
    squad_key: str
    squad_name: str
    words: str
    by: str
    note: str
    state: AskState
    answer: str
    places: tuple[tuple[str, str], ...] = ()


def hand_back(store: Store, person: Person, number: int, sequence: int, now: datetime) -> str:
    """Give a session back; whoever waits for such ground is served.

    Args:
        store: The database.
        person: Who hands it back: its coach, or the secretary.
        number: The booking's number.
        sequence: The change the person was looking at.
        now: The present instant.

    Returns:
        What was done, a sentence.

    Raises:
        MissingError: If it is none of the person's sessions.
        OutdatedError: If somebody changed it in the meantime.
        RefusedError: If it is over.
    """
    with store.write() as session:
        row = own_session(session, person, number)
        refuse_outdated(session, row, sequence)
        if row.starts_at <= now:
            raise RefusedError("This session has begun; it can no longer be handed back.")
        row.is_withdrawn = True
        note_change(row, now)
        zone = load_zone(session)
        day = short_day(row.starts_at.astimezone(zone).date())
        describe_change(session, f"{row.holder} handed back {row.area.name}, {day}")
        session.commit()
    served = serve_waiting(store, now)
    thanks = f" {' '.join(served)}" if served else ""
    return f"Handed back: {row.holder}, {day}. The ground is free.{thanks}"


def ask_for_session(store: Store, person: Person, wish: SessionAsk, now: datetime) -> str:
    """Ask for a session; it is booked at once where ground is free, else it waits.

    Returns:
        What became of it, a sentence.

    Raises:
        MissingError: If the squad is none of the person's.
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
        number = row.id
    return _outcome(store, number, now)


def ask_for_more(store: Store, person: Person, number: int, note: str, now: datetime) -> str:
    """Ask for more ground for a session, at the same time.

    Returns:
        What became of it, a sentence.

    Raises:
        MissingError: If it is none of the person's sessions.
        RefusedError: If it has begun, or already waits for more ground.
    """
    with store.write() as session:
        booking = own_session(session, person, number)
        if booking.starts_at <= now:
            raise RefusedError("This session has begun.")
        zone = load_zone(session)
        day = booking.starts_at.astimezone(zone).date()
        start = minute_from_instant(booking.starts_at, day, zone)
        minutes = TimeRange(booking.starts_at, booking.ends_at).minutes
        waiting = select(WaitingAskRow).where(
            WaitingAskRow.booking_id == number, WaitingAskRow.state == AskState.WAITING.value
        )
        if session.scalars(waiting).first() is not None:
            raise RefusedError("This session waits for more ground already.")
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
        asked = row.id
    return _outcome(store, asked, now)


def serve_waiting(store: Store, now: datetime) -> tuple[str, ...]:
    """Serve the waiting list by fair turn: each in turn gets the nearest free ground there is.

    Returns:
        A sentence for each that was served.
    """
    with store.write() as session:
        rows = {row.id: row for row in _waiting_rows(session, now)}
        if not rows:
            return ()
        order = fair_order(
            [InLine(row.id, row.squad.key, row.asked_at) for row in rows.values()],
            _granted(session),
            served_so_far(session, now),
        )
        done = []
        for one in order:
            place = next(iter(find_ask_places(session, rows[one.number], now)), None)
            if place is not None:
                done.append(_grant(session, rows[one.number], place, "by fair turn", now))
        if done:
            describe_change(session, "the waiting list was served")
        return tuple(done)


def grant_ask(store: Store, number: int, value: str, now: datetime) -> str:
    """Grant an ask by hand, on one of the places listed for it.

    Raises:
        ClashError: If somebody has taken the ground meanwhile.
        MissingError: If the ask or the place is gone.
    """
    with store.write() as session:
        row = _load_waiting(session, number)
        for place in find_ask_places(session, row, now):
            if place_value(place) == value:
                words = _grant(session, row, place, "by the secretary", now)
                describe_change(session, words.rstrip("."))
                return words
        raise MissingError("This ground is no longer free; look again.")


def refuse_ask(store: Store, number: int, answer: str) -> str:
    """Refuse an ask, with a word for the coach.

    Raises:
        MissingError: If the ask no longer waits.
    """
    with store.write() as session:
        row = _load_waiting(session, number)
        row.state, row.answer = AskState.REFUSED.value, answer
        return f"Refused: {row.squad.name}."


def take_back_ask(store: Store, person: Person, number: int) -> str:
    """Take back an ask of one's own.

    Raises:
        MissingError: If it is none of the person's, or no longer waits.
    """
    with store.write() as session:
        row = _load_waiting(session, number)
        if not person.looks_after(row.squad.key):
            raise MissingError("There is no such ask of yours.")
        row.state = AskState.TAKEN_BACK.value
        return "Taken back."


def list_asks(
    store: Store, now: datetime, person: Person | None = None, *, with_places: bool = False
) -> tuple[AskLine, ...]:
    """Return the asks for dates that are not over: waiting ones in fair order, then the others.

    Args:
        store: The database.
        now: The present instant.
        person: Only asks for this person's squads; None for all.
        with_places: Whether free places are looked for, for waiting ones.
    """
    with store.read() as session:
        zone = load_zone(session)
        today = now.astimezone(zone).date()
        rows = session.scalars(
            select(WaitingAskRow).where(WaitingAskRow.day >= today).order_by(WaitingAskRow.id)
        ).all()
        rows = [r for r in rows if person is None or person.looks_after(r.squad.key)]
        waiting = [r for r in rows if r.state == AskState.WAITING.value]
        order = fair_order(
            [InLine(r.id, r.squad.key, r.asked_at) for r in waiting],
            _granted(session),
            served_so_far(session, now),
        )
        place_of = {one.number: n for n, one in enumerate(order)}
        rows.sort(key=lambda r: (place_of.get(r.id, len(order)), r.day, r.id))
        return tuple(_line(session, row, now, with_places=with_places) for row in rows)


def find_ask_places(session: Session, row: WaitingAskRow, now: datetime) -> tuple[Place, ...]:
    """Return free places for an ask, nearest first; none once its time has passed."""
    need = need_of_ask(session, row, now)
    if need is None:
        return ()
    return find_places(scene_of_ask(session, row), need)


def place_value(place: Place) -> str:
    """Write a place as a form sends it."""
    return f"{place.area_id}@{int(place.during.starts_at.timestamp())}"


def own_session(session: Session, person: Person, number: int) -> BookingRow:
    """Return a live training of one of the person's squads.

    Raises:
        MissingError: If it is none of these.
    """
    row = session.get(BookingRow, number)
    mine = row is not None and row.squad is not None and person.looks_after(row.squad.key)
    if row is None or not mine or row.is_withdrawn or row.purpose is not Purpose.TRAINING:
        raise MissingError("There is no such session of your squads; look at your own page.")
    return row


def refuse_outdated(session: Session, row: BookingRow, sequence: int) -> None:
    """Refuse to act on a booking that somebody has changed since it was looked at.

    Raises:
        RefusedError: Saying what it is now.
    """
    if row.sequence != sequence:
        zone = load_zone(session)
        raise RefusedError(
            f"Somebody has changed this session meanwhile: {row.holder} now have {row.area.name} "
            f"{clock_in_zone(row.starts_at, zone)}–{clock_in_zone(row.ends_at, zone)}. Look again."
        )


def _outcome(store: Store, number: int, now: datetime) -> str:
    serve_waiting(store, now)
    with store.read() as session:
        row = session.get_one(WaitingAskRow, number)
        if row.state == AskState.GRANTED.value:
            return row.answer
        return (
            "No ground that does is free then. You are on the waiting list and get the next that "
            "is handed back, by fair turn; the secretary sees it too."
        )


def _grant(session: Session, row: WaitingAskRow, place: Place, how: str, now: datetime) -> str:
    area = load_area(session, place.area_id)
    zone = load_zone(session)
    if row.wants_more and row.booking is not None:
        place_booking(session, row.booking, area, place.during)
        row.booking.is_fixed = True
        note_change(row.booking, now)
    else:
        booking = insert_booking(
            session,
            BookingWish(
                area_id=area.id,
                during=place.during,
                purpose=Purpose.TRAINING,
                squad_id=row.squad_id,
                holder=row.squad.name,
                note=row.note,
                is_fixed=True,
            ),
            now,
        )
        row.booking_id = booking.id
    row.state = AskState.GRANTED.value
    times = (
        f"{clock_in_zone(place.during.starts_at, zone)}–{clock_in_zone(place.during.ends_at, zone)}"
    )
    row.answer = f"{row.squad.name} have {place.name}, {short_day(row.day)} {times}, {how}."
    session.flush()
    return row.answer


def _check(person: Person, wish: SessionAsk, now: datetime, store: Store) -> None:
    if not person.looks_after(wish.squad_key):
        raise MissingError("You look after no such squad; ask the secretary if you should.")
    if not SHORTEST <= wish.minutes <= LONGEST:
        raise RefusedError(f"Ask for {SHORTEST} to {LONGEST} minutes.")
    if wish.to_min - wish.from_min < wish.minutes:
        raise RefusedError("The session does not fit between these times; give it more room.")
    with store.read() as session:
        zone = load_zone(session)
    if range_from_wall(wish.day, wish.from_min, wish.to_min, zone).ends_at <= now:
        raise RefusedError("This time has passed; choose a later one.")


def _refuse_many(session: Session, squad_id: int) -> None:
    count = session.scalar(
        select(func.count(WaitingAskRow.id)).where(
            WaitingAskRow.squad_id == squad_id, WaitingAskRow.state == AskState.WAITING.value
        )
    )
    if (count or 0) >= MOST_WAITING:
        raise RefusedError(f"{MOST_WAITING} asks of this squad wait already; take one back first.")


def _waiting_rows(session: Session, now: datetime) -> list[WaitingAskRow]:
    today = (now - timedelta(days=1)).date()
    return list(
        session.scalars(
            select(WaitingAskRow).where(
                WaitingAskRow.state == AskState.WAITING.value, WaitingAskRow.day >= today
            )
        )
    )


def _granted(session: Session) -> Counter[str]:
    rows: Iterable[WaitingAskRow] = session.scalars(
        select(WaitingAskRow).where(WaitingAskRow.state == AskState.GRANTED.value)
    )
    return Counter(row.squad.key for row in rows)


def _load_waiting(session: Session, number: int) -> WaitingAskRow:
    row = session.get(WaitingAskRow, number)
    if row is None or row.state != AskState.WAITING.value:
        raise MissingError("This ask no longer waits; look at the list again.")
    return row


def _line(session: Session, row: WaitingAskRow, now: datetime, *, with_places: bool) -> AskLine:
    zone = load_zone(session)
    state = AskState(row.state)
    places: tuple[tuple[str, str], ...] = ()
    if with_places and state is AskState.WAITING:
        was = range_from_wall(row.day, row.from_min, row.from_min + row.minutes, zone)
        places = tuple(
            (place_value(p), f"{place_in_words(p, was, zone)}, {p.venue_name}")
            for p in find_ask_places(session, row, now)
        )
    between = f"{clock_from_minute(row.from_min)}–{clock_from_minute(row.to_min)}"
    words = f"more ground on {short_day(row.day)}, {between}"
    if not row.wants_more:
        part = f", at least {_part_words(row.least_share)}" if row.least_share else ""
        words = f"{row.minutes} minutes on {short_day(row.day)} between {between}{part}"
    return AskLine(
        number=row.id,
        squad_key=row.squad.key,
        squad_name=row.squad.name,
        words=words,
        by=row.by,
        note=row.note,
        state=state,
        answer=row.answer,
        places=places,
    )


def _part_words(share: float) -> str:
    names = {1.0: "a whole pitch", 0.5: "a half", 1 / 3: "a third", 0.25: "a quarter"}
    return next(
        (name for value, name in names.items() if abs(value - share) < 0.01), f"{share:.2f}"
    )
