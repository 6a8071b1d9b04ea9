"""The waiting list: serving it by fair turn, granting, refusing, and showing it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import func, select
from sqlalchemy.orm import joinedload

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.domain.booked.waiting import AskState, InLine, fair_order
from clubplanner.domain.times.times import (
    TimeRange,
    clock_from_minute,
    clock_in_zone,
    end_clock_in_zone,
    instant_from_wall,
    short_day,
)
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.giving.hints import tell_of_ask
from clubplanner.services.giving.needs import need_of_ask, scene_of_ask
from clubplanner.services.history.fairness import served_so_far
from clubplanner.services.places.places import find_places, place_in_words
from clubplanner.services.rows.bookings.booking_rows import (
    BookingWish,
    insert_booking,
    load_area,
    note_change,
    place_booking,
)
from clubplanner.services.rows.own_club import own_squads, refuse_other_squad
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.sharing.values.words import part_of_pitch
from clubplanner.store.journal.journal import describe_change, explain_change
from clubplanner.store.rights import by_rule_of_all
from clubplanner.store.tables.season_tables import WaitingAskRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.people import Person
    from clubplanner.domain.ground.places import Place
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class AskLine:
    """An ask in the list.

    Attributes:
        number: The ask's number.
        squad_key: For whom.
        squad_name: The same in words.
        on: The local date it is for.
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
    on: date
    words: str
    by: str
    note: str
    state: AskState
    answer: str
    places: tuple[tuple[str, str], ...] = ()


def serve_waiting(store: Store, now: datetime) -> tuple[str, ...]:
    """Serve the waiting list by fair turn: each in turn gets the nearest free ground there is.

    Whoever gave ground back: it goes to the squad whose turn it is, of whichever club.

    Returns:
        A sentence for each that was served.
    """
    with store.read() as session:  # mostly nobody waits; who asks meanwhile is served by that ask
        if not _waiting_rows(session, now):
            return ()
    with store.write() as session, by_rule_of_all(session):
        rows = {row.id: row for row in _waiting_rows(session, now)}
        if not rows:
            return ()
        done = []
        for one in _fair_order(session, list(rows.values()), now):
            place = next(iter(find_ask_places(session, rows[one.number], now)), None)
            if place is not None:
                done.append(_grant(session, rows[one.number], place, _("by fair turn"), now))
        if done:
            describe_change(session, _("the waiting list was served"))
        return tuple(done)


def grant_ask(store: Store, number: int, value: str, now: datetime) -> str:
    """Grant an ask by hand, on one of the places listed for it.

    Raises:
        ClashError: If somebody has taken the ground meanwhile.
        MissingError: If the ask or the place is gone.
    """
    with store.write() as session:
        row = load_waiting(session, number)
        refuse_other_squad(session, row.squad_id)
        for place in find_ask_places(session, row, now):
            if place_value(place) == value:
                words = _grant(session, row, place, _("by the secretary"), now)
                describe_change(session, words.rstrip("."))
                return words
        raise MissingError(_("This ground is no longer free; look again."))


def refuse_ask(store: Store, number: int, answer: str) -> str:
    """Refuse an ask, with a word for the coach.

    Raises:
        MissingError: If the ask no longer waits.
    """
    with store.write(brief=True) as session:
        row = load_waiting(session, number)
        refuse_other_squad(session, row.squad_id)
        row.state, row.answer = AskState.REFUSED.value, answer
        tell_of_ask(session, row, None)
        return _("Refused: %(squad)s.", squad=row.squad.name)


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
        found = session.scalars(
            select(WaitingAskRow)
            .where(WaitingAskRow.day >= today, *own_squads(session, WaitingAskRow.squad_id))
            .options(joinedload(WaitingAskRow.squad))
        )
        rows = [r for r in found if person is None or person.looks_after(r.squad.key)]
        order = _fair_order(session, [r for r in rows if r.state == AskState.WAITING.value], now)
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


def _grant(session: Session, row: WaitingAskRow, place: Place, how: str, now: datetime) -> str:
    area = load_area(session, place.area_id)
    zone = load_zone(session)
    if row.wants_more and row.booking is not None:
        place_booking(session, row.booking, area, place.during)
        row.booking.is_fixed = True
        note_change(row.booking, now)
        asked = Reason(Cause.SAID, _("more ground, as asked for"))
        explain_change(session, asked, row.booking.id)
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
    starts = clock_in_zone(place.during.starts_at, zone)
    times = f"{starts}–{end_clock_in_zone(place.during.ends_at, zone)}"
    row.answer = _(
        "%(squad)s have %(place)s, %(day)s %(times)s, %(how)s.",
        squad=row.squad.name,
        place=place.name,
        day=short_day(row.day),
        times=times,
        how=how,
    )
    session.flush()
    tell_of_ask(session, row, now)
    return row.answer


def _waiting_rows(session: Session, now: datetime) -> list[WaitingAskRow]:
    today = (now - timedelta(days=1)).date()
    return list(
        session.scalars(
            select(WaitingAskRow).where(
                WaitingAskRow.state == AskState.WAITING.value, WaitingAskRow.day >= today
            )
        )
    )


def _fair_order(session: Session, rows: Sequence[WaitingAskRow], now: datetime) -> Sequence[InLine]:
    """Return waiting asks in the order in which they are served."""
    if not rows:
        return ()
    numbers = dict(
        session.execute(
            select(WaitingAskRow.squad_id, func.count(WaitingAskRow.id))
            .where(WaitingAskRow.state == AskState.GRANTED.value)
            .where(WaitingAskRow.squad_id.in_({row.squad_id for row in rows}))
            .group_by(WaitingAskRow.squad_id)
        ).all()
    )
    granted = Counter({row.squad.key: numbers.get(row.squad_id, 0) for row in rows})
    waiting = [InLine(row.id, row.squad.key, row.asked_at) for row in rows]
    return fair_order(waiting, granted, served_so_far(session, now))


def load_waiting(session: Session, number: int) -> WaitingAskRow:
    """Return an ask that waits.

    Raises:
        MissingError: If it does not, or not any more.
    """
    row = session.get(WaitingAskRow, number)
    if row is None or row.state != AskState.WAITING.value:
        raise MissingError(_("This ask no longer waits; look at the list again."))
    return row


def _line(session: Session, row: WaitingAskRow, now: datetime, *, with_places: bool) -> AskLine:
    zone = load_zone(session)
    state = AskState(row.state)
    places: tuple[tuple[str, str], ...] = ()
    if with_places and state is AskState.WAITING:
        starts_at = instant_from_wall(row.day, row.from_min, zone)
        was = TimeRange(starts_at, starts_at + timedelta(minutes=row.minutes))
        places = tuple(
            (place_value(p), f"{place_in_words(p, was, zone)}, {p.venue_name}")
            for p in find_ask_places(session, row, now)
        )
    between = f"{clock_from_minute(row.from_min)}–{clock_from_minute(row.to_min)}"
    words = _("more ground on %(day)s, %(between)s", day=short_day(row.day), between=between)
    if not row.wants_more:
        part = (
            _(", at least %(least_share)s", least_share=part_of_pitch(row.least_share))
            if row.least_share
            else ""
        )
        words = _(
            "%(minutes)s minutes on %(day)s between %(between)s%(least)s",
            minutes=row.minutes,
            day=short_day(row.day),
            between=between,
            least=part,
        )
    return AskLine(
        number=row.id,
        squad_key=row.squad.key,
        squad_name=row.squad.name,
        on=row.day,
        words=words,
        by=row.by,
        note=row.note,
        state=state,
        answer=row.answer,
        places=places,
    )
