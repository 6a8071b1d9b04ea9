"""Bringing sessions back to ground that is free again: which can, which cannot and why.

It was closed, or a match had it; `held` are the bookings by which it was held (`away.py`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Booking, find_overlapping
from clubplanner.domain.rules.book import hindrances
from clubplanner.domain.times.times import TimeRange, clock_in_zone, end_clock_in_zone, short_day
from clubplanner.errors import HinderedError, OutdatedError, RefusedError
from clubplanner.language import _, ngettext
from clubplanner.services.places.away import load_away
from clubplanner.services.places.ruling import case_at
from clubplanner.services.places.scenes import load_scenes
from clubplanner.services.rows.bookings.booking_rows import (
    flush,
    note_change,
    put_row,
    refuse_clash,
)
from clubplanner.services.rows.snapshot import booking_from_row, load_zone
from clubplanner.services.showing.states.conditions import place_name
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.coming_back import Away
    from clubplanner.domain.rules.case import Case, Hindrance, Scene


@dataclass(frozen=True, slots=True)
class Return:
    """A session that had to go, and whether it can come back.

    Attributes:
        number: The booking's number.
        sequence: The change shown.
        holder: Who.
        purpose: Why they are there.
        starts_at: When it began there.
        was: The ground it had.
        when: The date and local times it had.
        now: Where it is now, in words.
        can: Whether it can come back.
        is_ticked: Whether it is proposed to come back.
        why: What keeps it away, or why it is not proposed; blank for neither.
    """

    number: int
    sequence: int
    holder: str
    purpose: str
    starts_at: datetime
    was: str
    when: str
    now: str
    can: bool
    is_ticked: bool
    why: str = ""


def proposed(returns: Iterable[Return]) -> dict[int, int]:
    """Return the sessions that are proposed to come back: number → the change shown."""
    return {one.number: one.sequence for one in returns if one.is_ticked}


def chosen_of(returns: Sequence[Return], numbers: Sequence[int] | None) -> dict[int, int]:
    """Return the sessions chosen to come back by their numbers: number → the change shown.

    None chooses those proposed; a number that is not shown has change 0, which nobody saw.
    """
    if numbers is None:
        return proposed(returns)
    counts = {one.number: one.sequence for one in returns}
    return {number: counts.get(number, 0) for number in numbers}


def can_come(returns: Iterable[Return]) -> bool:
    """Tell whether any session can come back."""
    return any(one.can for one in returns)


def foresee_returns(
    session: Session, held: Collection[int], taken: Sequence[Booking], now: datetime
) -> tuple[Return, ...]:
    """Say of every session that had to go whether it can come back.

    Args:
        session: An open session.
        held: The bookings that took the ground.
        taken: The ground that is taken once that has been opened or changed; who stood there is not
            asked about.
        now: The present instant.

    Returns:
        By start; what is over, is back or must stay away because of `taken` is left out.
    """
    away = [Candidate.load(session, one) for one in load_away(session, held)]
    away = [
        one
        for one in away
        if one.away.was.ends_at > now and not (one.booking and _meets(one.booking, taken))
    ]
    if not away:
        return ()
    zone = load_zone(session)
    days = [one.away.was.starts_at.astimezone(zone).date() for one in away]
    scene = load_scenes(session, min(days), max(days)).without(held).with_booked(*taken)
    missing = {one.row.id: one.missing(scene, now) for one in away}
    asked = [one for one in away if not missing[one.row.id]]
    sure = [one for one in asked if not one.away.is_moved_on]
    kept, refused = _together(scene, sure)
    there = _with_back(scene, kept)
    for one in asked:
        if one.away.is_moved_on:
            refused[one.row.id] = one.look(there.without({one.row.id}))
    return tuple(
        one.told(
            missing[one.row.id] or " ".join(h.words for h in refused.get(one.row.id, ())), zone
        )
        for one in away
    )


def choose_returns(
    session: Session, held: Collection[int], back: Mapping[int, int]
) -> list[Candidate]:
    """Find the sessions that are to come back, before anything is done to what took their ground.

    Opening ground counts them up itself, since their entries spoke of it; so what the person was
    looking at is held to them before.

    Args:
        session: The open write session.
        held: The bookings that took their ground.
        back: Booking number → the change of it that the person was looking at.

    Raises:
        OutdatedError: If one of them was changed since, or is not away any more.
    """
    away = {one.number: one for one in load_away(session, held)} if back else {}
    chosen = []
    for number, sequence in sorted(back.items()):
        row = session.get(BookingRow, number)
        if row is None or number not in away or row.sequence != sequence:
            raise OutdatedError(
                _(
                    "Since you looked, somebody has decided about %(holder)s. Nothing was "
                    "changed; look again.",
                    holder=_("this session") if row is None else row.holder,
                )
            )
        chosen.append(Candidate.load(session, away[number]))
    return chosen


def bring_back_ticked(
    session: Session, held: Collection[int], back: Mapping[int, int], now: datetime
) -> int:
    """Bring the sessions back that somebody ticked, to ground that is free again already.

    Args:
        session: The open write session.
        held: The bookings that took their ground.
        back: Booking number → the change of it that the person was looking at.
        now: The present instant.

    Returns:
        How many came back.

    Raises:
        RefusedError: If nobody is ticked; else as `choose_returns` and `bring_back`.
    """
    if not back:
        raise RefusedError(_("Tick who comes back."))
    return bring_back(session, choose_returns(session, held, back), now)


def bring_back(session: Session, chosen: Sequence[Candidate], now: datetime) -> int:
    """Put sessions back where they stood before they had to go, all of them or none.

    The ground must be free by now. What the squads see counts up, so that calendars take it.

    Args:
        session: The open write session.
        chosen: The sessions, as `choose_returns` found them.
        now: The present instant.

    Returns:
        How many came back.

    Raises:
        ClashError: If somebody took the ground at this very moment.
        HinderedError: Naming the rules for the first that may not be there.
        OutdatedError: If one of them cannot come back any more.
    """
    if not chosen:
        return 0
    zone = load_zone(session)
    days = [one.away.was.starts_at.astimezone(zone).date() for one in chosen]
    scene = load_scenes(session, min(days), max(days))
    for one in chosen:
        why = one.missing(scene, now)
        if why:
            raise OutdatedError(
                _(
                    "%(holder)s cannot come back: %(why)s Nothing was changed; look again.",
                    holder=one.row.holder,
                    why=why,
                )
            )
    there = _with_back(scene, chosen)
    for one in chosen:
        found = one.look(there)
        if found:
            advice = _("Leave %(holder)s where they are, or look again.", holder=one.row.holder)
            raise HinderedError(found, advice)
    _put(session, chosen, now)
    return len(chosen)


def count_words(count: int) -> str:
    """Say how many sessions came back, a sentence; blank for none."""
    if not count:
        return ""
    return ngettext(
        "%(num)s session is back where it was.", "%(num)s sessions are back where they were.", count
    )


def _put(session: Session, chosen: Sequence[Candidate], now: datetime) -> None:
    for one in chosen:  # lifted first: each may stand where another was
        one.row.is_withdrawn = True
    session.flush()
    for one in chosen:
        was, area = one.away.was, one.area
        if area is None:
            continue  # `missing` has told it
        during = TimeRange(was.starts_at, was.ends_at)
        refuse_clash(session, area, during, besides=one.row.id)
        put_row(one.row, area, during)
        one.row.is_withdrawn, one.row.is_fixed = False, was.is_fixed
        one.row.overruled = was.overruled
        note_change(one.row, now)
        flush(session)


def _together(
    scene: Scene, candidates: Sequence[Candidate]
) -> tuple[list[Candidate], dict[int, tuple[Hindrance, ...]]]:
    """Find who can come back at the same time, and what keeps each of the others.

    Whoever a rule keeps away by itself is left out first; of those that stand in each other's way,
    the last.
    """
    kept = list(candidates)
    refused: dict[int, tuple[Hindrance, ...]] = {}
    while True:
        there = _with_back(scene, kept)
        failing = {one.row.id: found for one in kept if (found := one.look(there))}
        if not failing:
            return kept, refused
        coming = {one.row.id for one in kept}
        alone = {
            number: found
            for number, found in failing.items()
            if not any(held.number in coming for hindrance in found for held in hindrance.holders)
        }
        if not alone:
            last = max(failing, key=[one.row.id for one in kept].index)
            alone = {last: failing[last]}
        refused |= alone
        kept = [one for one in kept if one.row.id not in alone]


def _with_back(scene: Scene, kept: Sequence[Candidate]) -> Scene:
    back = [one.booking for one in kept if one.booking is not None]
    return scene.without({one.number for one in back}).with_booked(*back)


def _meets(booking: Booking, taken: Sequence[Booking]) -> bool:
    return bool(find_overlapping(booking.pitch_key, booking.cells, booking.during, taken))


@dataclass(frozen=True, slots=True)
class Candidate:
    """A session that is away.

    `booking` is the session as it would stand again, None where its ground is gone.
    """

    away: Away
    row: BookingRow
    area: AreaRow | None
    booking: Booking | None

    @classmethod
    def load(cls, session: Session, away: Away) -> Candidate:
        """Load a session that had to go, and the ground that it stood on."""
        row = session.get_one(BookingRow, away.number)
        area = session.get(AreaRow, away.was.area_id)
        if area is None:
            return cls(away, row, None, None)
        booking = replace(
            booking_from_row(row),
            pitch_key=area.pitch.key,
            area_key=area.key,
            cells=area.cells,
            during=TimeRange(away.was.starts_at, away.was.ends_at),
            is_withdrawn=False,
        )
        return cls(away, row, area, booking)

    def missing(self, scene: Scene, now: datetime) -> str:
        """Say what no rule is needed for to see that it cannot come back; blank for nothing."""
        pitch = None if self.booking is None else scene.pitches.get(self.booking.pitch_key)
        if (
            self.booking is None
            or pitch is None
            or all(area.key != self.booking.area_key for area in pitch.areas)
        ):
            return _("Its ground is no longer there; book it again by hand.")
        if self.away.was.squad_id is not None and self.row.squad is None:
            return _("The squad is no longer in the club.")
        if self.away.was.starts_at <= now:
            return _("It would have begun already.")
        if not self.row.is_withdrawn and self.row.starts_at <= now:
            return _("It has begun where it is now.")
        return ""

    def look(self, scene: Scene) -> tuple[Hindrance, ...]:
        """Return the rules that keep it away; what was overruled for it then still is."""
        found = hindrances(self._case(scene))
        is_overruled = bool(self.away.was.overruled) and not any(one.is_final for one in found)
        return () if is_overruled else found

    def _case(self, scene: Scene) -> Case:
        if self.booking is None:
            raise ValueError("A session whose ground is gone has no case.")
        pitch = scene.pitches[self.booking.pitch_key]
        area = pitch.area(self.booking.area_key)
        was = None if self.row.is_withdrawn else TimeRange(self.row.starts_at, self.row.ends_at)
        return case_at(scene, self.booking, pitch, area, self.booking.during, was)

    def told(self, why: str, zone: ZoneInfo) -> Return:
        """Say for a page whether it can come back, or why not."""
        row, was = self.row, self.away.was
        is_moved_on = self.away.is_moved_on
        return Return(
            number=row.id,
            sequence=row.sequence,
            holder=row.holder,
            purpose=row.purpose.value,
            starts_at=was.starts_at,
            was=_("ground that is gone") if self.area is None else place_name(self.area),
            when=_when(was.starts_at, was.ends_at, zone),
            now=_("withdrawn")
            if row.is_withdrawn
            else f"{place_name(row.area)}, {_when(row.starts_at, row.ends_at, zone)}",
            can=not why,
            is_ticked=not why and not is_moved_on,
            why=why or (_("Somebody decided about it since it had to go.") if is_moved_on else ""),
        )


def _when(starts_at: datetime, ends_at: datetime, zone: ZoneInfo) -> str:
    day = short_day(starts_at.astimezone(zone).date())
    return f"{day}, {clock_in_zone(starts_at, zone)}–{end_clock_in_zone(ends_at, zone)}"
