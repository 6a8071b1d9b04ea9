"""What a proposal for one evening does, on the plans: how it stands and how it would be."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Booking, Purpose, draft_booking
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    clock_from_minute,
    clock_in_zone,
    instant_from_wall,
    minute_from_instant,
    range_from_wall,
)
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from clubplanner.services.proposals.differences.compared import find_difference
from clubplanner.services.proposals.kept_proposals import load_proposal
from clubplanner.services.rows.journal.journal_rows import bookings_as_known
from clubplanner.services.rows.named import find_pitch
from clubplanner.services.rows.snapshot import (
    WITH_NAMES,
    booking_from_row,
    load_bookings,
    load_numbered,
    load_venues,
    load_zone,
)
from clubplanner.services.showing.ground.plans import plan_of_bookings, times_in_words
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.services.proposals.dated import Names, Wanted
    from clubplanner.services.proposals.differences.values import Difference
    from clubplanner.services.proposals.proposals import Proposal
    from clubplanner.store.engine import Store

A_MOMENT = timedelta(seconds=1)
"""Records hold whole seconds: so long before a change they stood as before it."""


@dataclass(frozen=True, slots=True)
class EveningChange:
    """One change, to be read by evening time.

    Attributes:
        at: When it is felt first: the earlier of old and new start.
        change: "moved", "added" or "withdrawn".
        squad_name: Whose.
        old: Times and ground as it stands; blank for what is added.
        new: Times and ground as it would be; blank for what is withdrawn.
    """

    at: str
    change: str
    squad_name: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class PitchBeside:
    """A pitch at one moment, as it stands and as it would be.

    Attributes:
        name: The pitch, with its venue where there are several.
        before: The plan as it stands, SVG; blank where nothing differs, or nobody is on it.
        after: The plan as it would be, SVG.
        is_same: Whether nothing differs.
    """

    name: str
    before: str
    after: str
    is_same: bool


@dataclass(frozen=True, slots=True)
class EveningOutcome:
    """What the page shows besides what every proposal's page does.

    Attributes:
        day: The local date.
        at: The moment that is drawn.
        moments: Moments at which somebody starts, before or after.
        pitches: Those on which something differs first.
        changes: By evening time; none once it is published.
        since: What others changed on this evening since the proposal was made, sentences.
    """

    day: date
    at: str
    moments: tuple[str, ...]
    pitches: tuple[PitchBeside, ...]
    changes: tuple[EveningChange, ...]
    since: tuple[str, ...]


def see_evening_outcome(
    store: Store, number: int, at_min: int | None, now: datetime
) -> EveningOutcome:
    """Show what a proposal for one evening does.

    Args:
        store: The database.
        number: The proposal's number.
        at_min: The minute to draw; None for the one at which most differs.
        now: The present instant; what has begun is no longer changed.

    Raises:
        MissingError: If there is none of that number.
    """
    with store.read() as session:
        proposal = load_proposal(session, number)
        zone, venues = load_zone(session), load_venues(session)
        during = range_from_wall(proposal.first, 0, MINUTES_A_DAY, zone)
        words = _Words(venues, zone)
        changes: tuple[EveningChange, ...] = ()
        since: tuple[str, ...] = ()
        if proposal.published_at is None:
            before = load_bookings(session, during)
            after = before
            try:
                difference = find_difference(session, proposal, now)
            except MissingError:  # the page of every proposal tells of it
                difference = None
            if difference is not None:
                after = _applied(session, before, difference)
                changes = words.changes(before, after)
            since = words.since(_changed_since(session, proposal, during))
        else:
            before = bookings_as_known(session, during, proposal.published_at - A_MOMENT)
            after = bookings_as_known(session, during, proposal.published_at)
    minutes = _minutes((*before, *after), proposal.first, zone)
    minute = at_min
    if minute is None:
        minute = _telling(before, after, minutes, proposal.first, zone)
    instant = instant_from_wall(proposal.first, minute, zone)
    shown = _beside(venues, before, after, instant, zone)
    return EveningOutcome(
        day=proposal.first,
        at=clock_from_minute(minute),
        moments=tuple(clock_from_minute(m) for m in minutes),
        pitches=tuple(sorted(shown, key=lambda pitch: pitch.is_same)),
        changes=changes,
        since=since,
    )


def _applied(
    session: Session, before: Sequence[Booking], difference: Difference
) -> tuple[Booking, ...]:
    """Return the bookings of the evening as they would be; new ones are numbered below 0."""
    names = difference.names
    moves = {one.id: wanted for one, wanted in difference.moves}
    gone = {one.id for one in difference.withdrawn}
    after = [
        _put(one, moves[one.number], names) if one.number in moves else one
        for one in before
        if one.number not in gone
    ]
    known = {one.number for one in before}
    elsewhere = load_numbered(session, moves.keys() - known)
    after += [_put(one, moves[one.number], names) for one in elsewhere]
    after += [_new(-n, wanted, names) for n, wanted in enumerate(difference.added, 1)]
    count = len(difference.added)
    for n, piece in enumerate(difference.closed, count + 1):
        area = piece.area
        after.append(_blank(-n, area.pitch_key, area.key, area.cells, piece.during, piece.reason))
    return tuple(sorted(after, key=lambda one: (one.during.starts_at, one.number)))


def _put(booking: Booking, wanted: Wanted, names: Names) -> Booking:
    area = names.grounds[wanted.area_id]
    return replace(
        booking,
        pitch_key=area.pitch_key,
        area_key=area.key,
        cells=area.cells,
        during=wanted.during,
    )


def _new(number: int, wanted: Wanted, names: Names) -> Booking:
    area, squad = names.grounds[wanted.area_id], names.squads[wanted.squad_id]
    made = _blank(number, area.pitch_key, area.key, area.cells, wanted.during, squad.name)
    return replace(made, purpose=Purpose.TRAINING, squad_key=squad.key, squad_number=squad.id)


def _blank(
    number: int, pitch: str, area: str, cells: int, during: TimeRange, holder: str
) -> Booking:
    return draft_booking(
        number=number,
        pitch_key=pitch,
        area_key=area,
        cells=cells,
        during=during,
        purpose=Purpose.CLOSED,
        holder=holder,
    )


def _changed_since(
    session: Session, proposal: Proposal, during: TimeRange
) -> list[tuple[Booking, bool]]:
    """Return bookings of the evening that changed after a proposal was made, and which are new."""
    rows = session.scalars(
        select(BookingRow)
        .where(
            *BookingRow.running_between(during.starts_at, during.ends_at),
            BookingRow.changed_at > proposal.created_at,
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
        .options(*WITH_NAMES)
    )
    return [(booking_from_row(row), row.created_at > proposal.created_at) for row in rows]


def _minutes(bookings: Iterable[Booking], day: date, zone: ZoneInfo) -> tuple[int, ...]:
    starts = {
        minute_from_instant(one.during.starts_at, day, zone)
        for one in bookings
        if one.purpose is not Purpose.CLOSED
    }
    return tuple(sorted(minute for minute in starts if 0 <= minute < MINUTES_A_DAY))


def _telling(
    before: Sequence[Booking],
    after: Sequence[Booking],
    minutes: Sequence[int],
    day: date,
    zone: ZoneInfo,
) -> int:
    """Return the minute at which most differs, the first of several."""

    def differing(minute: int) -> int:
        instant = instant_from_wall(day, minute, zone)
        return len(_there(before, instant) ^ _there(after, instant))

    return max(minutes, key=differing, default=18 * 60)


def _there(bookings: Iterable[Booking], instant: datetime) -> set[tuple[str, str, str]]:
    return {_spot(one) for one in bookings if one.during.contains(instant)}


def _spot(one: Booking) -> tuple[str, str, str]:
    return one.pitch_key, one.area_key, one.holder


def _beside(
    venues: Sequence[Venue],
    before: Sequence[Booking],
    after: Sequence[Booking],
    instant: datetime,
    zone: ZoneInfo,
) -> list[PitchBeside]:
    shown = []
    for venue in venues:
        for pitch in venue.pitches:
            old, new = (_on(pitch, group, instant) for group in (before, after))
            is_same = {(_spot(one), one.during) for one in old} == {
                (_spot(one), one.during) for one in new
            }
            name = pitch.name if len(venues) == 1 else f"{pitch.name}, {venue.name}"
            drawn = "" if is_same or not old else _drawing(pitch, old, zone)
            shown.append(PitchBeside(name, drawn, _drawing(pitch, new, zone), is_same))
    return shown


def _on(pitch: Pitch, bookings: Iterable[Booking], instant: datetime) -> list[Booking]:
    return [one for one in bookings if one.pitch_key == pitch.key and one.during.contains(instant)]


def _drawing(pitch: Pitch, bookings: Sequence[Booking], zone: ZoneInfo) -> str:
    return draw_ground_plan(plan_of_bookings(pitch, bookings, zone))


@dataclass(frozen=True, slots=True)
class _Words:
    """Writes bookings down."""

    venues: Sequence[Venue]
    zone: ZoneInfo

    def changes(
        self, before: Sequence[Booking], after: Sequence[Booking]
    ) -> tuple[EveningChange, ...]:
        """List what differs, by evening time; closed ground is told elsewhere."""
        olds = {one.number: one for one in before if one.squad_key}
        news = {one.number: one for one in after if one.squad_key}
        found: list[tuple[datetime, EveningChange]] = []
        for number in {**olds, **news}:
            old, new = olds.get(number), news.get(number)
            if old == new:
                continue
            there = [one for one in (old, new) if one is not None]
            starts_at = min(one.during.starts_at for one in there)
            change = "withdrawn" if new is None else "added" if old is None else "moved"
            line = EveningChange(
                clock_in_zone(starts_at, self.zone),
                change,
                there[-1].holder,
                "" if old is None else self.place(old),
                "" if new is None else self.place(new),
            )
            found.append((starts_at, line))
        found.sort(key=lambda pair: (pair[0], pair[1].squad_name))
        return tuple(line for _unused, line in found)

    def since(self, changed: Iterable[tuple[Booking, bool]]) -> tuple[str, ...]:
        """Say what others changed, a sentence each."""
        lines = []
        for one, is_new in changed:
            values = {"holder": one.holder, "place": self.place(one)}
            if one.is_withdrawn:
                lines.append(_("%(holder)s, %(place)s: withdrawn.", **values))
            elif is_new:
                lines.append(_("%(holder)s, %(place)s: booked.", **values))
            else:
                lines.append(_("%(holder)s: now %(place)s.", **values))
        return tuple(lines)

    def place(self, booking: Booking) -> str:
        """Write times and ground."""
        _unused, pitch = find_pitch(self.venues, booking.pitch_key)
        area = pitch.area(booking.area_key)
        name = part_in_words(area, pitch.name)
        return f"{times_in_words(booking, self.zone)}, {name}"
