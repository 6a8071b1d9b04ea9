"""Changing places: one coach offers, the other accepts, the secretary may stop it.

Each session has to be free, by the rule book, where the other is; only the secretary overrules it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.domain.booked.waiting import SwapState
from clubplanner.domain.club.people import Role
from clubplanner.domain.times.times import TimeRange
from clubplanner.errors import HinderedError, MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.addresses.hints import drop_hints
from clubplanner.services.giving.hints import about_offer, tell_of_answer, tell_of_offer
from clubplanner.services.giving.requests import own_session, refuse_outdated
from clubplanner.services.giving.swap_rules import (
    can_swap,
    has_begun,
    hinders_each,
    hindrances_told,
    scene_of_both,
)
from clubplanner.services.places.ruling import KEEP_THE_RULES, Overruling, although
from clubplanner.services.rows.bookings.booking_rows import (
    flush,
    note_change,
    put_row,
    refuse_clash,
)
from clubplanner.services.rows.coach_rows import has_coach_let_in
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.journal.journal import describe_change, explain_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.season_tables import SwapOfferRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.people import Person
    from clubplanner.domain.rules.case import Hindrance
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class SwapOffered:
    """An offer that was made.

    Attributes:
        number: Its number.
        to: The squad to which it was made.
        can_be_answered: Whether somebody who coaches that squad may sign in.
    """

    number: int
    to: str
    can_be_answered: bool = True


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
    if not offered.can_be_answered:
        return _(
            "Offered to %(holder)s. Their coach cannot sign in yet: ring them, and ask the "
            "secretary to let them in or to accept for them.",
            holder=offered.to,
        )
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
        if target is None or not can_swap(target) or target.squad_id == own.squad_id:
            raise MissingError(_("Choose a training of another squad to change places with."))
        if has_begun(now, own, target):
            raise RefusedError(_("One of these sessions has begun."))
        standing = select(SwapOfferRow).where(
            SwapOfferRow.own_id == number,
            SwapOfferRow.other_id == other,
            SwapOfferRow.state == SwapState.OFFERED.value,
        )
        if session.scalars(standing).first() is not None:
            raise RefusedError(_("You have offered this already; wait for the other coach."))
        found = hindrances_told(hinders_each(scene_of_both(session, own, target), own, target))
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
        return SwapOffered(offer.id, target.holder, has_coach_let_in(session, target.squad_id))


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
            if not can_swap(row):
                raise RefusedError(_("%(holder)s no longer have this session.", holder=row.holder))
            refuse_outdated(session, row, sequence)
        if has_begun(now, own, other):
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


def _exchange(
    session: Session, own: BookingRow, other: BookingRow, now: datetime, overruling: Overruling
) -> tuple[Hindrance, ...]:
    """Put each where the other was; return the rules that were overruled for it."""
    found = hinders_each(scene_of_both(session, own, other), own, other)
    told = hindrances_told(found)
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


def _load(session: Session, number: int) -> SwapOfferRow:
    row = session.get(SwapOfferRow, number)
    if row is None or row.state != SwapState.OFFERED.value:
        raise MissingError(_("This offer no longer stands."))
    return row
