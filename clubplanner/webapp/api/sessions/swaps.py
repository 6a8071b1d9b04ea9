"""Squads that change places: offered by one coach, accepted or declined by the other."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pydantic import Field

from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.giving.swap_pages import list_swaps, see_own_session
from clubplanner.services.giving.swaps import accept_swap, add_swap, end_swap
from clubplanner.webapp.api.frame.cursors import leaf_of
from clubplanner.webapp.api.frame.operations import Done, done, operation
from clubplanner.webapp.api.frame.values import LeafQuery, Number, Value, Words, example
from clubplanner.webapp.api.shared.ground_at import ALTHOUGH, Although, overruling_of
from clubplanner.webapp.base.security import for_coach, signed_in_person
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from clubplanner.services.giving.swap_pages import SwapLine

_SWAP = {
    "number": 1,
    "own_booking": 17,
    "other_booking": 18,
    "own": "U12 Kestrels: Wed 25 Nov, 18:00–19:15, third 1, Top pitch",
    "other": "U14 Harriers: Wed 25 Nov, 20:00–21:15, third 2, Top pitch",
    "by": "Robin Hale",
    "note": "Exams",
    "is_mine": True,
    "may_accept": False,
    "hindered": [],
}


class SwapValue(Value):
    """An offer to change places that stands: each squad takes the other's ground and time."""

    model_config = example(**_SWAP)

    number: int
    own_booking: int = Field(description="Of who offers.")
    other_booking: int = Field(description="Of whom it is offered to.")
    own: str = Field(description="Who offers, and what they have, in words.")
    other: str = Field(description="Whom it is offered to, and what they have.")
    by: str
    note: str
    is_mine: bool = Field(description="Whether it is of a squad of the token's person.")
    may_accept: bool = Field(description="Whether that person can accept it as it stands.")
    hindered: list[str] = Field(description="The rules that stand in the way by now.")


class SwapLeaf(Value):
    """A leaf of the offers that stand."""

    model_config = example(items=[], next=None)

    items: list[SwapValue]
    next: str | None = Field(description="The cursor of the leaf after; none after the last.")


class SwapWritten(Value):
    """Which two sessions are to change places."""

    model_config = example(own=17, other=18, note="Exams", although=None)

    own: Number = Field(description="Booking of a squad of one's own.")
    other: Number = Field(description="Booking of another squad's training.")
    note: Words = Field("", max_length=200, description="A word to the other coach.")
    although: Although | None = Field(None, description="The secretary overrules rules.")


class SwapAnswer(Value):
    """That an offer is accepted."""

    model_config = example(although=ALTHOUGH)

    although: Although | None = Field(None, description="The secretary overrules rules.")


class SwapPartner(Value):
    """A training that a session can change places with."""

    model_config = example(booking=18, words=_SWAP["other"])

    booking: int
    words: str = Field(description="Whose, when and where.")


class SwapPartners(Value):
    """With what a session can change places; none once it has begun."""

    model_config = example(others=[{"booking": 18, "words": _SWAP["other"]}])

    others: list[SwapPartner]


@operation("GET", "/bookings/<int:number>/swaps", answer=SwapPartners)
@for_coach
def find_swaps(number: int) -> SwapPartners:
    """Say with which trainings of that evening one's session could change places by the rules."""
    state = app_state()
    page = see_own_session(state.store, signed_in_person(), number, state.clock())
    found = [SwapPartner(booking=int(other), words=words) for other, words in page.others]
    return SwapPartners(others=found)


@operation("GET", "/swaps", answer=SwapLeaf, query=LeafQuery)
@for_coach
def list_offers(query: LeafQuery) -> SwapLeaf:
    """List the offers that stand and concern one's squads; the secretary sees all."""
    leaf, following = leaf_of(_standing(), lambda one: (one.number,), query, (int,))
    return SwapLeaf(items=[_value(one) for one in leaf], next=following)


@operation("GET", "/swaps/<int:number>", answer=SwapValue)
@for_coach
def see_offer(number: int) -> SwapValue:
    """Show one offer that stands."""
    found = next((one for one in _standing() if one.number == number), None)
    if found is None:
        raise MissingError(_("There is no such offer."))
    return _value(found)


@operation("POST", "/swaps", answer=SwapValue, status=201, takes=SwapWritten)
@for_coach
def offer(body: SwapWritten) -> Done:
    """Offer another squad to change places; it is done when their coach accepts."""
    state = app_state()
    person, overruling = signed_in_person(), overruling_of(body.although)
    note, now = body.note.strip(), state.clock()
    made = add_swap(state.store, person, body.own, body.other, note, now, overruling)
    return done(see_offer, number=made.number)


@operation("POST", "/swaps/<int:number>/accept", answer=SwapLeaf, takes=SwapAnswer, of=see_offer)
@for_coach
def accept(number: int, body: SwapAnswer) -> Done:
    """Accept an offer: the two change places at once. The answer is the first leaf."""
    state = app_state()
    overruling = overruling_of(body.although)
    accept_swap(state.store, signed_in_person(), number, state.clock(), overruling)
    return done(list_offers)


@operation("DELETE", "/swaps/<int:number>", answer=SwapLeaf)
@for_coach
def end_offer(number: int) -> Done:
    """Decline an offer, or take one's own back. The answer is the first leaf."""
    end_swap(app_state().store, signed_in_person(), number)
    return done(list_offers)


def _standing() -> tuple[SwapLine, ...]:
    state = app_state()
    return list_swaps(state.store, signed_in_person(), state.clock())


def _value(line: SwapLine) -> SwapValue:
    return SwapValue(
        number=line.number,
        own_booking=line.own_booking,
        other_booking=line.other_booking,
        own=line.own,
        other=line.other,
        by=line.by,
        note=line.note,
        is_mine=line.is_mine,
        may_accept=line.may_accept,
        hindered=list(line.hindered),
    )
