"""Bookings, as the API tells and takes them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field

from clubplanner.webapp.api.frame.values import (
    Instant,
    LeafQuery,
    Moment,
    Name,
    Number,
    ShortWords,
    Value,
    Words,
    example,
)
from clubplanner.webapp.api.shared.ground_at import ALTHOUGH, PLACE, Although, Place, in_zone

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.services.evening.whole_bookings import WholeBooking

PurposeWord = Literal["training", "match", "hire", "closed"]
_DURING = {"starts_at": "2026-11-25T18:00:00+00:00", "ends_at": "2026-11-25T19:15:00+00:00"}
_BOOKED = {
    "number": 17,
    "uid": "8c1f0f3e@clubplanner",
    "place": PLACE,
    **_DURING,
    "purpose": "training",
    "squad": "u12-kestrels",
    "holder": "U12 Kestrels",
    "note": "",
    "is_fixed": True,
    "is_withdrawn": False,
    "sequence": 0,
    "changed_at": "2026-11-20T12:00:00+00:00",
}


class BookingLine(Value):
    """Who has which ground from when to when, and why."""

    model_config = example(**_BOOKED)

    number: int
    uid: str = Field(description="Its identity in calendars, for life.")
    place: Place
    starts_at: Moment
    ends_at: Moment
    purpose: PurposeWord
    squad: str | None = Field(description="Key of the squad; none for a hirer or closed ground.")
    holder: str = Field(description="Who has it, in words.")
    note: str = Field(description="What else to know; blank to those whom it is not for.")
    is_fixed: bool = Field(description="Whether share-outs leave it alone.")
    is_withdrawn: bool = Field(description="Whether it was given back; it holds no ground then.")
    sequence: int = Field(description="Rises with every change that a squad would notice.")
    changed_at: Moment


class BookingValue(BookingLine):
    """A booking, and what is true of it."""

    model_config = example(**_BOOKED, outcome="on", state="", overruled="")

    outcome: Literal["on", "moved", "off", "limited"]
    state: str = Field(description="The same in words, with the reason; blank where it is on.")
    overruled: str = Field(description="Why it stands against a rule; blank where none was.")


class BookingQuery(LeafQuery):
    """Which bookings."""

    since: Instant | None = Field(None, description="Those that end after it; now if left out.")
    until: Instant | None = Field(
        None, description="Those that begin before it; a week later if left out, at most 400 days."
    )
    squad: ShortWords = Field("", description="Key of a squad.")
    pitch: ShortWords = Field("", description="Key of a pitch.")
    purpose: PurposeWord | None = Field(None, description="What they are for.")


class BookingLeaf(Value):
    """A leaf of bookings that stand, by start."""

    model_config = example(items=[_BOOKED], next=None)

    items: list[BookingLine]
    next: str | None = Field(description="The cursor of the leaf after; none after the last.")


class BookingWritten(Value):
    """A booking somebody wants."""

    model_config = example(
        place=PLACE,
        **_DURING,
        purpose="training",
        squad="u12-kestrels",
        holder="",
        note="",
        although=ALTHOUGH,
    )

    place: Place
    starts_at: Instant
    ends_at: Instant
    purpose: PurposeWord
    squad: Name | None = Field(None, description="Key of the squad it is for.")
    holder: ShortWords = Field("", description="Who it is for, or why it is closed, without squad.")
    note: Words = ""
    although: Although | None = None


class BookingMove(Value):
    """Where and when a booking shall be; what is left out stays."""

    model_config = example(place=PLACE, **_DURING, why="The hall is needed.", although=None)

    place: Place | None = None
    starts_at: Instant | None = None
    ends_at: Instant | None = None
    why: Words = Field("", description="For whoever comes for it.")
    although: Although | None = None


class WithdrawQuery(Value):
    """How a booking is withdrawn."""

    why: Words = Field("", description="For whoever comes for it.")
    and_later: bool = Field(default=False, description="Whether its later ones go as well.")


class FixWritten(Value):
    """Whether share-outs leave a session alone."""

    model_config = example(is_fixed=True)

    is_fixed: bool


class HeadCount(Value):
    """With how many a squad comes."""

    model_config = example(players=14, goalkeepers=1)

    players: int = Field(ge=1, le=999, description="Goalkeepers among them.")
    goalkeepers: int = Field(0, ge=0, le=999)


class SessionRef(Value):
    """A session, by the number of its booking."""

    model_config = example(booking=17)

    booking: Number


def booking_line(booking: Booking, zone: ZoneInfo, *, with_note: bool) -> BookingLine:
    """Return a booking of a list as it goes out."""
    return BookingLine(**_members(booking, zone, with_note=with_note))


def booking_value(whole: WholeBooking, zone: ZoneInfo, *, with_note: bool) -> BookingValue:
    """Return a booking as it goes out, with the state that services ask for."""
    value = BookingValue(
        **_members(whole.booking, zone, with_note=with_note),
        outcome=whole.outcome.value,
        state=whole.state,
        overruled=whole.overruled if with_note else "",
    )
    return value.seen_at(str(whole.booking.sequence))


def _members(booking: Booking, zone: ZoneInfo, *, with_note: bool) -> dict[str, Any]:
    return {
        "number": booking.number,
        "uid": booking.uid,
        "place": Place(pitch=booking.pitch_key, area=booking.area_key),
        "starts_at": in_zone(booking.during.starts_at, zone),
        "ends_at": in_zone(booking.during.ends_at, zone),
        "purpose": booking.purpose.value,
        "squad": booking.squad_key,
        "holder": booking.holder,
        "note": booking.note if with_note else "",
        "is_fixed": booking.is_fixed,
        "is_withdrawn": booking.is_withdrawn,
        "sequence": booking.sequence,
        "changed_at": in_zone(booking.changed_at, zone),
    }
