"""Moving a booking by looking: every place it could go, who would be affected, and the move."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.times.hours_typed import TypedTimeError, instant_typed
from clubplanner.domain.times.times import (
    TimeRange,
    clock_in_zone,
    day_in_words,
    end_clock_in_zone,
    minute_from_instant,
)
from clubplanner.errors import ClashError, MissingError, OutdatedError, RefusedError
from clubplanner.language import _
from clubplanner.services.evening.later_sessions import (
    LaterSessions,
    find_later,
    foresee_later,
    move_later,
)
from clubplanner.services.evening.move_places import PitchPlaces, list_places
from clubplanner.services.places.displaced import (
    Displaced,
    foresee_displaced,
    place_settled,
    settle_displaced,
)
from clubplanner.services.places.ruling import (
    KEEP_THE_RULES,
    Overruling,
    against,
    although,
    hold_to_rules,
)
from clubplanner.services.places.scenes import load_scene
from clubplanner.services.rows.bookings.booking_rows import (
    clashes_from_rows,
    find_holders,
    flush,
    load_area,
    note_change,
    put_row,
    refuse_clash,
)
from clubplanner.services.rows.own_club import refuse_other_squad
from clubplanner.services.rows.snapshot import booking_from_row, load_zone
from clubplanner.store.journal.journal import describe_change, explain_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import PitchRow

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.rules.case import Hindrance
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.ground_tables import AreaRow

ALL_THE_SAME = "all the same"
"""Stands for a reason that is still to be given; it is never kept."""


@dataclass(frozen=True, slots=True)
class MovePage:
    """A booking and every place it could go at a time.

    Attributes:
        number: The booking's number.
        sequence: The change shown.
        holder: Who.
        now_words: Where and when it is now.
        day: The date looked at.
        day_words: The same in words.
        starts: Local start looked at; the length is kept.
        ends: Local end.
        pitches: The places, by pitch.
        against: The words of the rules that it would break wherever it goes at that time.
    """

    number: int
    sequence: int
    holder: str
    now_words: str
    day: date
    day_words: str
    starts: str
    ends: str
    pitches: tuple[PitchPlaces, ...]
    against: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ForeseenMove:
    """A move before it is made.

    Attributes:
        number: The booking's number.
        sequence: The change shown.
        holder: Who.
        area_id: Where to.
        place: Where to, in words.
        day: The new date.
        when: Date and local times in words.
        starts: Local start.
        displaced: Who would be affected, each with the free places for them.
        against: The words of the rules that the booking would break there.
        later: What would become of the later ones, if they were to go along; None where there
            are none.
    """

    number: int
    sequence: int
    holder: str
    area_id: int
    place: str
    day: date
    when: str
    starts: str
    displaced: tuple[Displaced, ...]
    against: tuple[str, ...]
    later: LaterSessions | None = None


def pitch_of_booking(store: Store, number: int) -> str:
    """Return the key of the pitch on which a booking is; blank if there is no such booking."""
    with store.read() as session:
        query = select(PitchRow.key).join(BookingRow, BookingRow.pitch_id == PitchRow.id)
        return session.scalar(query.where(BookingRow.id == number)) or ""


def see_moves(
    store: Store,
    number: int,
    day: date | None,
    start_min: int | None,
    only: Collection[str] | None = None,
) -> MovePage:
    """Show every place a booking could go at a time.

    Args:
        store: The database.
        number: The booking.
        day: The local date; None for its own.
        start_min: Local start; None for its own. The booking keeps its length.
        only: Keys of the pitches that are asked about; None for all.

    Raises:
        MissingError: If there is no such booking.
        RefusedError: If the clocks skip that time.
    """
    with store.read() as session:
        row = _load(session, number)
        zone = load_zone(session)
        during = _range(row, day, start_min, zone)
        local = during.starts_at.astimezone(zone).date()
        pitches, everywhere = list_places(
            load_scene(session, local), booking_from_row(row), during, only
        )
        return MovePage(
            number=row.id,
            sequence=row.sequence,
            holder=row.holder,
            now_words=_words(row, zone),
            day=local,
            day_words=day_in_words(local),
            starts=clock_in_zone(during.starts_at, zone),
            ends=end_clock_in_zone(during.ends_at, zone),
            pitches=pitches,
            against=everywhere,
        )


def foresee_move(
    store: Store, number: int, area_id: int, day: date | None, start_min: int | None, now: datetime
) -> ForeseenMove:
    """Say who would be affected by a move, and where they can go; nothing is changed.

    Raises:
        ClashError: If the ground is closed then.
        MissingError: If booking or area is gone.
        RefusedError: If the time has passed, or the clocks skip it.
    """
    with store.read() as session:
        row = _load(session, number)
        zone = load_zone(session)
        during = _range(row, day, start_min, zone)
        _refuse_past(row, during, now)
        area = load_area(session, area_id)
        holders = _holders(session, row, area, during)
        local = during.starts_at.astimezone(zone).date()
        start = clock_in_zone(during.starts_at, zone)
        scene = load_scene(session, local).without({one.id for one in holders})
        pitch = scene.pitches[area.pitch.key]
        booking = booking_from_row(row)
        broken = against(scene, booking, pitch, pitch.area(area.key), during)
        coming = replace(
            booking, pitch_key=pitch.key, area_key=area.key, cells=area.cells, during=during
        )
        return ForeseenMove(
            number=row.id,
            sequence=row.sequence,
            holder=row.holder,
            area_id=area.id,
            place=_name(area),
            day=local,
            when=f"{day_in_words(local)}, {start}–{end_clock_in_zone(during.ends_at, zone)}",
            starts=start,
            displaced=foresee_displaced(
                session, holders, area.pitch.key, area.cells, during, now, coming
            ),
            against=tuple(one.words for one in broken),
            later=foresee_later(session, row, area, during, _as_told(broken), zone),
        )


def move_with_others(
    store: Store,
    number: int,
    sequence: int,
    area_id: int,
    day: date | None,
    start_min: int | None,
    decisions: Mapping[int, str],
    now: datetime,
    overruling: Overruling = KEEP_THE_RULES,
    *,
    why: str = "",
    and_later: bool = False,
) -> str:
    """Move a booking and settle everybody who has to go, in one transaction.

    Whoever has to go is put on free ground only; for the booking itself rules may be overruled.

    Args:
        store: The database.
        number: The booking.
        sequence: The change the person was looking at.
        area_id: Where to.
        day: The local date; None for its own.
        start_min: Local start; None for its own.
        decisions: Booking number → where it goes, as `foresee_move` offered it, or withdrawn.
        now: The present instant.
        overruling: Which rules are overruled for the booking, and why.
        why: For whoever comes for one of the sessions that go; blank for nothing.
        and_later: Whether its later ones go along where no rule stands in the way.

    Returns:
        What was done, a sentence.

    Raises:
        ClashError: If a place has been taken in the meantime; nothing is changed.
        HinderedError: Naming every rule that stands in the way and is not overruled.
        MissingError: If booking or area is gone, or a decision cannot be read.
        OutdatedError: If the booking has been changed, or somebody has come, since.
        RefusedError: If the time has passed, or the clocks skip it.
    """
    is_brief = not (decisions or and_later)  # who has to go is looked at one by one
    with store.write(brief=is_brief) as session:
        row = _load(session, number)
        zone = load_zone(session)
        if row.sequence != sequence:
            raise OutdatedError(
                _(
                    "Somebody has changed this booking in the meantime: %(booking)s. Look "
                    "again before you move it.",
                    booking=_words(row, zone),
                )
            )
        during = _range(row, day, start_min, zone)
        _refuse_past(row, during, now)
        area = load_area(session, area_id)
        holders = _holders(session, row, area, during)
        was = TimeRange(row.starts_at, row.ends_at)
        later = find_later(session, row, zone) if and_later else []
        row.is_withdrawn = True
        session.flush()
        settled = settle_displaced(session, holders, decisions, now)
        refuse_clash(session, area, during, besides=row.id)
        put_row(row, area, during)
        row.is_withdrawn, row.is_fixed = False, True
        note_change(row, now)
        flush(session)
        found = hold_to_rules(session, row, overruling, was)
        done = place_settled(session, settled)
        words = _("%(holder)s moved to %(area)s", holder=row.holder, area=_name(area))
        if settled:
            words += f"; {done.words}"
        moved = move_later(session, later, was, area, during, overruling, now, zone)
        if moved:
            words += f"; {moved.words}"
        words = although(words, found, overruling.because)
        describe_change(session, words)
        explain_change(session, Reason(Cause.SAID, why))
        return f"{words}."


def _as_told(broken: Sequence[Hindrance]) -> Overruling:
    """Return what a person overrules who reads these rules, before they have said why."""
    return Overruling(ALL_THE_SAME, frozenset(one.words for one in broken))


def _load(session: Session, number: int) -> BookingRow:
    row = session.get(BookingRow, number)
    if row is None or row.is_withdrawn:
        raise MissingError(_("This booking has already been withdrawn."))
    refuse_other_squad(session, row.squad_id)
    return row


def _range(row: BookingRow, day: date | None, start_min: int | None, zone: ZoneInfo) -> TimeRange:
    own_day = row.starts_at.astimezone(zone).date()
    own_min = minute_from_instant(row.starts_at, own_day, zone)
    try:
        start = instant_typed(day or own_day, own_min if start_min is None else start_min, zone)
    except TypedTimeError as fault:
        raise RefusedError(str(fault)) from fault
    return TimeRange(start, start + (row.ends_at - row.starts_at))


def _refuse_past(row: BookingRow, during: TimeRange, now: datetime) -> None:
    if row.ends_at <= now or during.ends_at <= now:
        raise RefusedError(_("This time has passed; a booking can only be moved ahead."))


def _holders(
    session: Session, row: BookingRow, area: AreaRow, during: TimeRange
) -> list[BookingRow]:
    holders = find_holders(session, area.pitch_id, area.cells, during, besides=row.id)
    closed = [one for one in holders if one.purpose is Purpose.CLOSED]
    if closed:
        raise ClashError(
            clashes_from_rows(session, closed),
            advice=_("It is closed; open it first, or go elsewhere."),
        )
    return holders


def _words(row: BookingRow, zone: ZoneInfo) -> str:
    day = day_in_words(row.starts_at.astimezone(zone).date())
    times = f"{clock_in_zone(row.starts_at, zone)}–{end_clock_in_zone(row.ends_at, zone)}"
    return f"{_name(row.area)}, {day}, {times}"


def _name(area: AreaRow) -> str:
    return part_in_words(area, area.pitch.name)
