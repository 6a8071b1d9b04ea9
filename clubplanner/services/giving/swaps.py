"""Changing places: one coach offers, the other accepts, the secretary may stop it.

Each session has to be free, by the rule book, where the other is; only the secretary overrules it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.domain.booked.waiting import SwapState
from clubplanner.domain.club.people import Role
from clubplanner.domain.club.turnouts import Turnout
from clubplanner.domain.rules.book import hindrances
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    range_from_wall,
)
from clubplanner.errors import HinderedError, MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.addresses.hints import drop_hints
from clubplanner.services.giving.hints import (
    about_offer,
    tell_of_answer,
    tell_of_offer,
    where_in_words,
)
from clubplanner.services.giving.requests import own_session, refuse_outdated
from clubplanner.services.places.ruling import (
    KEEP_THE_RULES,
    Overruling,
    although,
    case_at,
)
from clubplanner.services.places.scenes import load_scene, load_scenes
from clubplanner.services.rows.booking_rows import flush, note_change, put_row, refuse_clash
from clubplanner.services.rows.coach_rows import coaches_from_row
from clubplanner.services.rows.near import near
from clubplanner.services.rows.own_club import is_own_squad
from clubplanner.services.rows.snapshot import (
    WITH_NAMES,
    booking_from_row,
    load_zone,
    squad_from_row,
)
from clubplanner.services.rows.turnouts import load_turnout, with_turnout
from clubplanner.store.journal import describe_change, explain_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.season_tables import SwapOfferRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.people import Person
    from clubplanner.domain.club.squads import Squad
    from clubplanner.domain.rules.case import Hindrance, Scene
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
class SwapOffered:
    """An offer that was made: its number, and to whom."""

    number: int
    to: str


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
        has_begun = _has_begun(now, row)
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
            if has_begun
            else tuple(
                (str(o.id), f"{o.holder}: {where_in_words(o, zone)}")
                for o in others
                if not _told(_hinders(scene, row, o))
            ),
            has_begun=has_begun,
            players=0 if here is None else here.players,
            goalkeepers=0 if here is None else here.goalkeepers,
            is_said=said.players is not None,
            is_over=row.ends_at <= now,
        )


def _here(row: SquadRow, said: Turnout) -> Squad:
    """Return a squad with the numbers it comes with."""
    return with_turnout(squad_from_row(row, coaches_from_row(row)), said)


def offer_swap(
    store: Store,
    person: Person,
    number: int,
    other: int,
    note: str,
    now: datetime,
    overruling: Overruling = KEEP_THE_RULES,
) -> str:
    """Offer another squad to change places: each takes the other's ground and time.

    Args:
        store: The database.
        person: Who offers: the coach of the first session.
        number: The booking of one's own.
        other: The other squad's booking.
        note: A word to the other coach; may be blank.
        now: The present instant.
        overruling: Which rules are overruled, and why; only the secretary does.

    Returns:
        What was done, a sentence.

    Raises:
        HinderedError: Naming the rules by which one of them may not be where the other is.
        MissingError: If the first is none of the person's sessions, or the second is gone.
        RefusedError: If one has begun, or the offer stands already.
    """
    offered = add_swap(store, person, number, other, note, now, overruling)
    return _("Offered to %(holder)s. It is done when their coach accepts.", holder=offered.to)


def add_swap(
    store: Store,
    person: Person,
    number: int,
    other: int,
    note: str,
    now: datetime,
    overruling: Overruling = KEEP_THE_RULES,
) -> SwapOffered:
    """Offer another squad to change places, as `offer_swap` does; return which offer it is."""
    with store.write(brief=True) as session:
        own = own_session(session, person, number)
        target = session.get(BookingRow, other)
        if target is None or not _can_swap(target) or target.squad_id == own.squad_id:
            raise MissingError(_("Choose a training of another squad to change places with."))
        if _has_begun(now, own, target):
            raise RefusedError(_("One of these sessions has begun."))
        standing = select(SwapOfferRow).where(
            SwapOfferRow.own_id == number,
            SwapOfferRow.other_id == other,
            SwapOfferRow.state == SwapState.OFFERED.value,
        )
        if session.scalars(standing).first() is not None:
            raise RefusedError(_("You have offered this already; wait for the other coach."))
        found = _told(_hinders(_scene_of(session, own, target), own, target))
        if found and not (_may_overrule(person) and overruling.covers(found)):
            raise HinderedError(found)
        offer = SwapOfferRow(
            own_id=number,
            other_id=other,
            own_sequence=own.sequence,
            other_sequence=target.sequence,
            by=person.name,
            note=note,
            offered_at=now,
            state=SwapState.OFFERED.value,
        )
        session.add(offer)
        session.flush()
        tell_of_offer(session, offer, load_zone(session), now)
        return SwapOffered(offer.id, target.holder)


def accept_swap(
    store: Store,
    person: Person,
    number: int,
    now: datetime,
    overruling: Overruling = KEEP_THE_RULES,
) -> str:
    """Accept an offer: the two squads change places, in one transaction.

    Args:
        store: The database.
        person: Who accepts: the coach of the other session, or the secretary.
        number: The offer's number.
        now: The present instant.
        overruling: Which rules are overruled, and why; only the secretary does.

    Raises:
        ClashError: If one session does not fit where the other was (something longer is next).
        HinderedError: Naming the rules by which one of them may not be where the other is.
        MissingError: If the offer is not for the person, or no longer stands.
        RefusedError: If one of the sessions was changed since, or has begun.
    """
    with store.write(brief=True) as session:
        offer = _load(session, number)
        own, other = offer.own, offer.other
        if other.squad is None or not person.looks_after(other.squad.key):
            raise MissingError(_("This offer is not for you."))
        for row, sequence in ((own, offer.own_sequence), (other, offer.other_sequence)):
            if not _can_swap(row):
                raise RefusedError(_("%(holder)s no longer have this session.", holder=row.holder))
            refuse_outdated(session, row, sequence)
        if _has_begun(now, own, other):
            raise RefusedError(_("One of these sessions has begun."))
        if not _may_overrule(person):
            overruling = KEEP_THE_RULES
        found = _exchange(session, own, other, now, overruling)
        offer.state = SwapState.ACCEPTED.value
        tell_of_answer(session, offer, now)
        words = _("%(one)s and %(other)s changed places", one=own.holder, other=other.holder)
        describe_change(session, although(words, found, overruling.because))
        explain_change(session, Reason(Cause.SWAP, other.holder), own.id)
        explain_change(session, Reason(Cause.SWAP, own.holder), other.id)
        return _(
            "%(one)s and %(other)s have changed places.",
            one=own.holder,
            other=other.holder,
        )


def end_swap(store: Store, person: Person, number: int) -> str:
    """Decline an offer, or take one's own back; the secretary may stop any.

    Raises:
        MissingError: If it is not the person's to end, or no longer stands.
    """
    with store.write(brief=True) as session:
        offer = _load(session, number)
        own, other = offer.own.squad, offer.other.squad
        if own is not None and person.looks_after(own.key):
            offer.state = SwapState.TAKEN_BACK.value
            drop_hints(session, about_offer(offer))
            return _("The offer is taken back.")
        if other is not None and person.looks_after(other.key):
            offer.state = SwapState.DECLINED.value
            tell_of_answer(session, offer, offer.offered_at)
            return _("The offer is declined.")
        raise MissingError(_("There is no such offer."))


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
            if _has_begun(now, *pair) or not all(map(_can_swap, pair)):
                continue
            own, other = offer.own.squad, offer.other.squad
            mine = own is not None and person.looks_after(own.key)
            may_accept = other is not None and person.looks_after(other.key)
            if mine or may_accept:
                scene = _scene_of(session, offer.own, offer.other)
                hindered = tuple(
                    one.words for one in _told(_hinders(scene, offer.own, offer.other))
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


def _exchange(
    session: Session, own: BookingRow, other: BookingRow, now: datetime, overruling: Overruling
) -> tuple[Hindrance, ...]:
    """Put each where the other was; return the rules that were overruled for it."""
    found = _hinders(_scene_of(session, own, other), own, other)
    told = _told(found)
    if told and not overruling.covers(told):
        raise HinderedError(told)
    places = [(row.area, TimeRange(row.starts_at, row.ends_at)) for row in (other, own)]
    for row in (own, other):  # lifted first, so that each can stand where the other was
        row.is_withdrawn = True
    session.flush()
    for row, (area, during) in zip((own, other), places, strict=True):
        refuse_clash(session, area, during, besides=row.id)
        put_row(row, area, during)
        row.is_withdrawn = False
        row.is_fixed = True
        note_change(row, now)
        flush(session)
        row.overruled = overruling.because if found[row.id] else ""
    return told


def _may_overrule(person: Person) -> bool:
    return person.role is Role.SECRETARY


def _scene_of(session: Session, own: BookingRow, other: BookingRow) -> Scene:
    zone = load_zone(session)
    first, last = sorted(row.starts_at.astimezone(zone).date() for row in (own, other))
    return load_scenes(session, first, last)


def _hinders(scene: Scene, own: BookingRow, other: BookingRow) -> dict[int, tuple[Hindrance, ...]]:
    """Return, by booking, the rules by which each of two may not be where the other is."""
    one, two = booking_from_row(own), booking_from_row(other)
    moved = (_instead_of(one, two), _instead_of(two, one))
    after = scene.without({one.number, two.number}).with_booked(*moved)
    found = {}
    for there, was in zip(moved, (one.during, two.during), strict=True):
        pitch = after.pitches[there.pitch_key]
        area = pitch.area(there.area_key)
        found[there.number] = hindrances(case_at(after, there, pitch, area, there.during, was))
    return found


def _told(found: dict[int, tuple[Hindrance, ...]]) -> tuple[Hindrance, ...]:
    return tuple(one for hindered in found.values() for one in hindered)


def _instead_of(booking: Booking, other: Booking) -> Booking:
    return replace(
        booking,
        pitch_key=other.pitch_key,
        area_key=other.area_key,
        cells=other.cells,
        during=other.during,
    )


def _has_begun(now: datetime, *rows: BookingRow) -> bool:
    """Tell whether any of some sessions begins by now."""
    return any(row.starts_at <= now for row in rows)


def _can_swap(row: BookingRow) -> bool:
    return row.purpose is Purpose.TRAINING and not row.is_withdrawn and row.squad is not None


def _is_within(session: Session, offer: SwapOfferRow) -> bool:
    """Tell whether whoever looks may change both sessions; coaches agree with each other."""
    pair = (offer.own.squad_id, offer.other.squad_id)
    return all(is_own_squad(session, squad) for squad in pair)


def _load(session: Session, number: int) -> SwapOfferRow:
    row = session.get(SwapOfferRow, number)
    if row is None or row.state != SwapState.OFFERED.value:
        raise MissingError(_("This offer no longer stands."))
    return row
