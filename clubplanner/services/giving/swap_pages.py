"""Changing places as it is shown: whom a session could change with, and the offers that stand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.waiting import SwapState
from clubplanner.domain.club.turnouts import Turnout
from clubplanner.domain.times.times import MINUTES_A_DAY, range_from_wall
from clubplanner.services.giving.hints import where_in_words
from clubplanner.services.giving.requests import own_session
from clubplanner.services.giving.swap_rules import (
    can_swap,
    has_begun,
    hinders_each,
    hindrances_told,
    scene_of_both,
)
from clubplanner.services.places.scenes import load_scene
from clubplanner.services.rows.coach_rows import coaches_from_row
from clubplanner.services.rows.near import near
from clubplanner.services.rows.own_club import is_own_squad
from clubplanner.services.rows.people.turnouts import load_turnout, with_turnout
from clubplanner.services.rows.snapshot import WITH_NAMES, load_zone, squad_from_row
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.season_tables import SwapOfferRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.people import Person
    from clubplanner.domain.club.squads import Squad
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.squad_tables import SquadRow


@dataclass(frozen=True, slots=True)
class SwapLine:
    """An offer in the list.

    Attributes:
        number: The offer's number.
        own_booking: Number of the session that is offered.
        other_booking: Number of the one asked for.
        own: Who offers and what they have.
        other: Whom it is offered to and what they have.
        by: Who offered.
        note: May be blank.
        is_mine: Whether the person asked about made it.
        may_accept: Whether that person can accept it.
        hindered: The words of the rules that stand in the way by now.
    """

    number: int
    own_booking: int
    other_booking: int
    own: str
    other: str
    by: str
    note: str
    is_mine: bool
    may_accept: bool
    hindered: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SessionPage:
    """A session with what its coach can do about it.

    Attributes:
        number: The booking's number.
        sequence: The change shown.
        holder: The squad.
        squad_key: Its key.
        words: Where and when.
        others: Trainings of other squads that evening that are still to come, number and words,
            to swap with: both may be where the other is; at the same venue, where the club is
            spread over many. None once the session itself has begun.
        has_begun: Whether it has begun, so that it can no longer be given away.
        players: How many come: as said for that day, else as usual.
        goalkeepers: How many of them keep goal.
        is_said: Whether somebody said so for that day.
        is_over: Whether it has ended.
    """

    number: int
    sequence: int
    holder: str
    squad_key: str
    words: str
    others: tuple[tuple[str, str], ...]
    has_begun: bool
    players: int
    goalkeepers: int
    is_said: bool
    is_over: bool


def see_own_session(store: Store, person: Person, number: int, now: datetime) -> SessionPage:
    """Show a session of one of the person's squads and whom it could change places with.

    Args:
        store: The database.
        person: Who looks.
        number: The booking's number.
        now: The present instant; what begins then has begun.

    Raises:
        MissingError: If it is none of these.
    """
    with store.read() as session:
        row = own_session(session, person, number)
        zone = load_zone(session)
        day = row.starts_at.astimezone(zone).date()
        during = range_from_wall(day, 0, MINUTES_A_DAY, zone)
        others = session.scalars(
            select(BookingRow)
            .where(
                BookingRow.purpose == Purpose.TRAINING,
                BookingRow.is_withdrawn.is_(False),
                BookingRow.squad_id.is_not(None),
                BookingRow.squad_id != row.squad_id,
                BookingRow.starts_at > now,
                BookingRow.starts_at >= during.starts_at,
                BookingRow.starts_at < during.ends_at,
                near(session, row.pitch.venue.key, BookingRow.pitch_id.expression),
            )
            .order_by(BookingRow.starts_at, BookingRow.id)
            .options(*WITH_NAMES)
        )
        is_begun = has_begun(now, row)
        scene = load_scene(session, day)
        said = Turnout() if row.squad is None else load_turnout(session, row.squad.id, day)
        here = None if row.squad is None else _here(row.squad, said)
        return SessionPage(
            number=row.id,
            sequence=row.sequence,
            holder=row.holder,
            squad_key="" if row.squad is None else row.squad.key,
            words=where_in_words(row, zone),
            others=()
            if is_begun
            else tuple(
                (str(o.id), f"{o.holder}: {where_in_words(o, zone)}")
                for o in others
                if not hindrances_told(hinders_each(scene, row, o))
            ),
            has_begun=is_begun,
            players=0 if here is None else here.players,
            goalkeepers=0 if here is None else here.goalkeepers,
            is_said=said.players is not None,
            is_over=row.ends_at <= now,
        )


def _here(row: SquadRow, said: Turnout) -> Squad:
    """Return a squad with the numbers it comes with."""
    return with_turnout(squad_from_row(row, coaches_from_row(row)), said)


def list_swaps(store: Store, person: Person, now: datetime) -> tuple[SwapLine, ...]:
    """Return the offers that stand and concern a person; all of them for the secretary."""
    with store.read() as session:
        zone = load_zone(session)
        rows = session.scalars(
            select(SwapOfferRow)
            .join(SwapOfferRow.own)
            .where(SwapOfferRow.state == SwapState.OFFERED.value, BookingRow.starts_at > now)
            .order_by(SwapOfferRow.id)
        )
        lines = []
        for offer in rows:
            pair = (offer.own, offer.other)
            if has_begun(now, *pair) or not all(map(can_swap, pair)):
                continue
            own, other = offer.own.squad, offer.other.squad
            mine = own is not None and person.looks_after(own.key)
            may_accept = other is not None and person.looks_after(other.key)
            if mine or may_accept:
                scene = scene_of_both(session, offer.own, offer.other)
                hindered = tuple(
                    one.words
                    for one in hindrances_told(hinders_each(scene, offer.own, offer.other))
                )
                lines.append(
                    SwapLine(
                        number=offer.id,
                        own_booking=offer.own_id,
                        other_booking=offer.other_id,
                        own=f"{offer.own.holder}: {where_in_words(offer.own, zone)}",
                        other=f"{offer.other.holder}: {where_in_words(offer.other, zone)}",
                        by=offer.by,
                        note=offer.note,
                        is_mine=mine,
                        may_accept=may_accept and not hindered and _is_within(session, offer),
                        hindered=hindered,
                    )
                )
        return tuple(lines)


def _is_within(session: Session, offer: SwapOfferRow) -> bool:
    """Tell whether whoever looks may change both sessions; coaches agree with each other."""
    pair = (offer.own.squad_id, offer.other.squad_id)
    return all(is_own_squad(session, squad) for squad in pair)
