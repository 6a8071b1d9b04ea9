"""Bookings and the rule that no two share ground and time."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from clubplanner.domain.times.times import TimeRange


class Purpose(StrEnum):
    """Why ground is booked."""

    TRAINING = "training"
    MATCH = "match"
    HIRE = "hire"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class Booking:
    """Who has which area from when to when, and why.

    Attributes:
        number: The booking's number in the club's records.
        uid: Its identity in calendars, for life.
        pitch_key: The pitch.
        area_key: The area of that pitch.
        cells: Bit mask of the area's cells on the pitch.
        during: Half-open range of UTC instants.
        purpose: Why.
        squad_key: Whose training or match; None for a hirer or a closure.
        holder: Who, in words: the squad's name, the hirer, or why it is closed.
        note: What else people should know; may be blank.
        is_withdrawn: True once given back; it then holds no ground.
        sequence: Rises with every change a squad would notice, from 0.
        changed_at: When it was last changed, UTC.
        is_fixed: True when the share-out must leave it alone.
        squad_number: The squad's number in the club's records; None for no squad or not known.
    """

    number: int
    uid: str
    pitch_key: str
    area_key: str
    cells: int
    during: TimeRange
    purpose: Purpose
    squad_key: str | None
    holder: str
    note: str
    is_withdrawn: bool
    sequence: int
    changed_at: datetime
    is_fixed: bool
    squad_number: int | None = None

    def as_fixed(self, *, is_fixed: bool) -> Booking:
        """Return the booking as one that the share-out leaves alone, or may move.

        A share-out says so of each booking round it; `replace` takes three times as long.
        """
        if is_fixed == self.is_fixed:
            return self
        return Booking(
            self.number,
            self.uid,
            self.pitch_key,
            self.area_key,
            self.cells,
            self.during,
            self.purpose,
            self.squad_key,
            self.holder,
            self.note,
            self.is_withdrawn,
            self.sequence,
            self.changed_at,
            is_fixed,
            self.squad_number,
        )


def draft_booking(
    number: int,
    during: TimeRange,
    purpose: Purpose,
    *,
    pitch_key: str = "",
    area_key: str = "",
    cells: int = 0,
    squad_key: str | None = None,
    holder: str = "",
    note: str = "",
    is_fixed: bool = True,
    changed_at: datetime | None = None,
) -> Booking:
    """Return a booking that no records hold, for the rules to look at.

    Args:
        number: One that no booking has that it is looked at beside.
        during: As in `Booking`, as is all that follows; without a pitch it stands nowhere yet.
        purpose: Why.
        pitch_key: The pitch.
        area_key: The area of that pitch.
        cells: Its cells.
        squad_key: Whose.
        holder: Who, in words.
        note: What else people should know.
        is_fixed: Whether share-outs leave it alone.
        changed_at: When it was last changed; None for when it begins.
    """
    return Booking(
        number=number,
        uid="",
        pitch_key=pitch_key,
        area_key=area_key,
        cells=cells,
        during=during,
        purpose=purpose,
        squad_key=squad_key,
        holder=holder,
        note=note,
        is_withdrawn=False,
        sequence=0,
        changed_at=during.starts_at if changed_at is None else changed_at,
        is_fixed=is_fixed,
    )


@dataclass(frozen=True, slots=True)
class Clash:
    """Ground that somebody else holds.

    Attributes:
        holder: Who holds it.
        area_name: The ground they hold.
        since: Local clock time at which they come on, such as "18:00".
        until: Local clock time at which they are off it.
    """

    holder: str
    area_name: str
    since: str
    until: str

    @property
    def sentence(self) -> str:
        """What stands in the way, as a clause: "North third is held by Kestrels 18:00–19:15"."""
        return _(
            "%(area_name)s is held by %(holder)s %(since)s–%(until)s",
            area_name=self.area_name,
            holder=self.holder,
            since=self.since,
            until=self.until,
        )


def find_overlapping(
    pitch_key: str, cells: int, during: TimeRange, bookings: Iterable[Booking]
) -> tuple[Booking, ...]:
    """Return the live bookings that share a cell and a moment with a wish for ground."""
    return tuple(
        booking
        for booking in bookings
        if not booking.is_withdrawn
        and booking.pitch_key == pitch_key
        and booking.cells & cells
        and booking.during.overlaps(during)
    )
