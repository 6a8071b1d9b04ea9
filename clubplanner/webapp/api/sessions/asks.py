"""The waiting list: sessions that coaches ask for, granted by fair turn or by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field

from clubplanner.domain.problems import Problem
from clubplanner.domain.times.times import clock_from_minute, minute_from_clock
from clubplanner.errors import FaultyInputError
from clubplanner.language import _
from clubplanner.services.giving.requests import (
    SessionAsk,
    add_ask,
    add_ask_for_more,
    take_back_ask,
)
from clubplanner.services.giving.waiting_list import (
    grant_ask,
    place_value,
    refuse_ask,
    serve_waiting,
)
from clubplanner.services.giving.whole_asks import list_whole_asks, see_whole_ask
from clubplanner.webapp.api.frame.cursors import leaf_of
from clubplanner.webapp.api.frame.faults_at import at_members
from clubplanner.webapp.api.frame.operations import Done, done, operation
from clubplanner.webapp.api.frame.values import (
    Clock,
    Day,
    LeafQuery,
    Name,
    Number,
    Value,
    Words,
    example,
)
from clubplanner.webapp.api.shared.displaced_values import ChoiceValue
from clubplanner.webapp.base.security import (
    for_coach,
    for_secretary,
    for_squads,
    signed_in_person,
)
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from clubplanner.services.giving.whole_asks import WholeAsk

_ASKED = {
    "squad": "u12-kestrels",
    "day": "2026-11-25",
    "earliest": "17:00",
    "latest": "20:00",
    "minutes": 60,
    "least_share": 0.3333,
    "note": "",
}
MEMBERS = {"squad": "/squad", "date": "/day", "from": "/earliest", "to": "/latest"}
MEMBERS |= {"minutes": "/minutes", "part": "/least_share"}
"""Where the fields of the page's form stand in a body."""


class AskLine(Value):
    """An ask for a session, or for more ground for one."""

    model_config = example(
        number=5, **_ASKED, booking=None, wants_more=False, by="Robin", state="waiting", answer=""
    )

    number: int
    squad: str
    day: Day
    earliest: str = Field(description="Earliest start, on the club's wall clock.")
    latest: str = Field(description="Latest end.")
    minutes: int
    least_share: float = Field(description="Least part of a pitch; 0 for any.")
    note: str
    booking: int | None = Field(description="The session it is about, or that was booked for it.")
    wants_more: bool = Field(description="Whether it is about more ground for a session.")
    by: str = Field(description="Who asked.")
    state: Literal["waiting", "granted", "refused", "taken back"]
    answer: str


class AskValueShown(AskLine):
    """An ask, and the ground that is free for it now."""

    model_config = example(
        number=5,
        **_ASKED,
        booking=None,
        wants_more=False,
        by="Robin",
        state="waiting",
        answer="",
        places=[{"value": "3@1795630800", "words": "Middle third, Top pitch"}],
    )

    places: list[ChoiceValue] = Field(description="Nearest first; for who may grant it alone.")


class AskLeaf(Value):
    """A leaf of the waiting list: who waits by fair turn, then the others."""

    model_config = example(items=[], next=None)

    items: list[AskLine]
    next: str | None = Field(description="The cursor of the leaf after; none after the last.")


class AskWritten(Value):
    """A session that is asked for on a date."""

    model_config = example(**_ASKED)

    squad: Name = Field(description="Key of the squad.")
    day: Day
    earliest: Clock = Field(description="Earliest start, on the club's wall clock.")
    latest: Clock = Field(description="Latest end.")
    minutes: int = Field(ge=1, le=600)
    least_share: float = Field(default=0.0, ge=0, le=1, description="Of a pitch; 0 for any.")
    note: Words = Field("", max_length=200)


class MoreWritten(Value):
    """More ground that is asked for, for a session of one's own."""

    model_config = example(booking=17, note="Two squads come together.")

    booking: Number
    note: Words = Field("", max_length=200)


class GrantWritten(Value):
    """The ground on which an ask is granted."""

    model_config = example(value="3@1795630800")

    value: Name = Field(description="One of its `places`.")


class RefuseWritten(Value):
    """A word for whoever asked."""

    model_config = example(answer="The hall is let that evening.")

    answer: Words = Field("", max_length=200)


@operation("GET", "/asks", answer=AskLeaf, query=LeafQuery)
@for_coach
def list_asked(query: LeafQuery) -> AskLeaf:
    """List asks for dates that are not over, by fair turn; a coach those of their squads."""
    state = app_state()
    found = list_whole_asks(state.store, state.clock(), signed_in_person())
    placed = list(enumerate(found))
    leaf, following = leaf_of(placed, lambda one: (one[0], one[1].number), query, (int, int))
    return AskLeaf(items=[AskLine(**_members(one)) for _unused, one in leaf], next=following)


@operation("GET", "/asks/<int:number>", answer=AskValueShown)
@for_coach
def see_asked(number: int) -> AskValueShown:
    """Show one ask, and the ground that is free for it now."""
    state = app_state()
    whole = see_whole_ask(state.store, number, state.clock(), signed_in_person())
    places = [ChoiceValue(value=place_value(one), words=one.name) for one in whole.places]
    return AskValueShown(**_members(whole), places=places)


@operation("POST", "/asks", answer=AskValueShown, status=201, takes=AskWritten)
@for_coach
def ask(body: AskWritten) -> Done:
    """Ask for a session; it is booked at once where ground is free, else it waits."""
    state = app_state()
    earliest, latest = minute_from_clock(body.earliest), minute_from_clock(body.latest)
    if latest <= earliest:
        words = _("The end must come after the start.")
        raise FaultyInputError([Problem("/latest", "order", words)])
    wish = SessionAsk(
        body.squad, body.day, earliest, latest, body.minutes, body.least_share, body.note.strip()
    )
    try:
        number = add_ask(state.store, signed_in_person(), wish, state.clock())
    except FaultyInputError as fault:
        raise at_members(fault, lambda where: MEMBERS.get(where, "")) from fault
    return done(see_asked, number=number)


@operation("POST", "/asks/more", answer=AskValueShown, status=201, takes=MoreWritten)
@for_coach
def ask_more(body: MoreWritten) -> Done:
    """Ask for more ground for a session of one's own, at the same time."""
    state = app_state()
    person, now = signed_in_person(), state.clock()
    number = add_ask_for_more(state.store, person, body.booking, body.note.strip(), now)
    return done(see_asked, number=number)


@operation("DELETE", "/asks/<int:number>", answer=AskValueShown)
@for_coach
def take_ask_back(number: int) -> Done:
    """Take an ask back; one that waits no longer is not there to be taken back."""
    take_back_ask(app_state().store, signed_in_person(), number)
    return done(see_asked, number=number)


@operation("POST", "/asks/<int:number>/grant", answer=AskValueShown, takes=GrantWritten)
@for_squads
def grant(number: int, body: GrantWritten) -> Done:
    """Grant an ask by hand, on one of the places listed for it."""
    state = app_state()
    grant_ask(state.store, number, body.value, state.clock())
    return done(see_asked, number=number)


@operation("POST", "/asks/<int:number>/refuse", answer=AskValueShown, takes=RefuseWritten)
@for_squads
def refuse(number: int, body: RefuseWritten) -> Done:
    """Refuse an ask, with a word for the coach."""
    refuse_ask(app_state().store, number, body.answer.strip())
    return done(see_asked, number=number)


@operation("POST", "/asks/serve", answer=AskLeaf)
@for_secretary
def serve() -> Done:
    """Serve the waiting list by fair turn; the answer is the list's first leaf as it stands."""
    state = app_state()
    serve_waiting(state.store, state.clock())
    return done(list_asked)


def _members(whole: WholeAsk) -> dict[str, Any]:
    return {
        "number": whole.number,
        "squad": whole.squad_key,
        "day": whole.day,
        "earliest": clock_from_minute(whole.from_min),
        "latest": clock_from_minute(whole.to_min),
        "minutes": whole.minutes,
        "least_share": whole.least_share,
        "note": whole.note,
        "booking": whole.booking,
        "wants_more": whole.wants_more,
        "by": whole.by,
        "state": whole.state.value,
        "answer": whole.answer,
    }
