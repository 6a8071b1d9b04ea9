"""The plan that stands, as the share-out's own values: what a re-share starts from.

For an evening or a week it is read from the dated bookings, for the rest of a stretch from the
weekly proposal that was published last.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.keys import ground_key
from clubplanner.domain.rules.case import days_looked_at
from clubplanner.domain.times.seasons import training_dates
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    day_in_words,
    instant_from_wall,
    minute_from_instant,
    range_from_wall,
)
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.problem.problem import build_problem
from clubplanner.services.problem.season_terms import with_grass_limits
from clubplanner.services.problem.standing_asks import asks_as_booked
from clubplanner.services.problem.standing_people import does_stand
from clubplanner.services.problem.tonight import evening_as_said, one_new_each
from clubplanner.services.proposals.kept_proposals import last_weekly
from clubplanner.services.proposals.proposals import Sort
from clubplanner.services.rows.club.money_rows import load_tariffs
from clubplanner.services.rows.ground.own_sizes import load_formats
from clubplanner.services.rows.seasons.squad_seasons import asks_meanwhile
from clubplanner.services.rows.snapshot import (
    load_asks,
    load_bookings,
    load_breaks,
    load_club,
    load_squads,
    load_venues,
    load_zone,
)
from clubplanner.sharing.places.standing_loads import with_room_for
from clubplanner.sharing.values.problem import Placement
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.squads import Ask as ClubAsk
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.services.proposals.proposals import GroundClosed, ProposedSession
    from clubplanner.sharing.values.problem import Ask, Problem


@dataclass(frozen=True, slots=True)
class Standing:
    """A plan that stands, and the problem it belongs to.

    Attributes:
        problem: Ground, days, light and asks, before what has come up.
        placements: Where sessions are.
        squads: Keys of the squads it is about; None for all.
    """

    problem: Problem
    placements: tuple[Placement, ...]
    squads: frozenset[str] | None


@dataclass(frozen=True, slots=True)
class Scope:
    """Which part of the season is shared out again.

    Attributes:
        sort: `Sort.EVENING` for the day alone, `Sort.WEEK` for its week from Monday to Sunday,
            `Sort.REST` for the weekly pattern from that day to the end of its stretch.
        day: The date.
    """

    sort: Sort
    day: date

    @property
    def last(self) -> date | None:
        """The last date, None where the end of the stretch decides."""
        ends = {Sort.EVENING: self.day, Sort.WEEK: week_dates(self.day)[-1]}
        return ends.get(self.sort)


@dataclass(frozen=True, slots=True)
class Disruption:
    """What has come up; with nothing at all, squads that lack sessions are placed where they can.

    Attributes:
        closures: Ground that is closed; publishing the proposal books it as closed.
        dropped: Keys of squads that need no sessions in the scope.
        extra: Sessions asked for on top of what the records say, in this scope only.
        fills: Whether squads that lack a session are placed as well where nothing but closed
            ground has come up on one evening; else that moves only those who stand.
    """

    closures: tuple[GroundClosed, ...] = ()
    dropped: frozenset[str] = frozenset()
    extra: tuple[ClubAsk, ...] = ()
    fills: bool = False

    @property
    def is_closure(self) -> bool:
        """Whether it is nothing but closed ground."""
        return bool(self.closures) and not self.dropped and not self.extra


def load_standing(
    session: Session, stretch: Stretch, scope: Scope, disruption: Disruption, now: datetime
) -> Standing:
    """Load what stands in a scope.

    Raises:
        MissingError: If closed ground or a dropped squad is not there.
        RefusedError: If all of it is over or lies in a break, or nothing is published.
    """
    for closure in disruption.closures:
        if scope.last is not None and not scope.day <= closure.last <= scope.last:
            raise RefusedError(
                _(
                    "The ground is closed on other dates than those that are shared out again; "
                    "choose the whole week or the rest of the stretch."
                )
            )
    load = load_weekly if scope.sort is Sort.REST else load_dated
    standing = load(session, stretch, scope, disruption, now)
    problem = standing.problem
    if scope.sort is not Sort.EVENING:  # at 17:40 nobody is refused a place for the grass's sake
        dates = [when for day in problem.days for when in day.dates]
        booked = load_bookings(session, _range((min(dates), max(dates)), load_zone(session)))
        problem = with_grass_limits(session, problem, booked)
    return replace(standing, problem=with_room_for(problem, standing.placements))


def load_dated(
    session: Session, stretch: Stretch, scope: Scope, disruption: Disruption, now: datetime
) -> Standing:
    """Load an evening or a week as it is booked.

    Raises:
        MissingError: If closed ground or a dropped squad is not there.
        RefusedError: If all of it is over or lies in a break.
    """
    club = load_club(session)
    zone = club.time_zone
    week = week_dates(scope.day)
    is_evening = scope.sort is Sort.EVENING
    span = (scope.day,) if is_evening else week
    today = now.astimezone(zone).date()
    training = set(training_dates(stretch, load_breaks(session)))
    dates = tuple(d for d in span if d in training and d >= today)
    _refuse_nothing(dates, stretch, span)
    venues, squads = load_venues(session), load_squads(session)
    _refuse_unknown(disruption.dropped, {squad.key for squad in squads})
    asks: Sequence[tuple[int, ClubAsk]] = [
        *asks_meanwhile(session, load_asks(session), dates[0], dates[-1]),
        *_numbered(disruption.extra),
    ]
    reach = days_looked_at((ask for _unused, ask in asks), {})
    near = load_bookings(session, _range((week[0] - reach, week[-1] + reach), zone))
    during = _range(week, zone)
    booked = [b for b in near if b.during.overlaps(during)]
    said = evening_as_said(session, scope.day, asks, squads, booked) if is_evening else None
    dropped = disruption.dropped
    if said is not None:
        asks, dropped = said.asks, dropped | said.away
    hit = _hits(disruption.closures, venues, booked, zone)
    concerned = {ask.squad_key for _unused, ask in asks} | dropped
    movable = {
        b.number
        for b in booked
        if b.purpose is Purpose.TRAINING
        and b.squad_key
        and b.during.starts_at > now
        and b.during.starts_at.astimezone(zone).date() in dates
        and (b.number in hit or (not b.is_fixed and b.squad_key in concerned))
    }
    known = [b.as_fixed(is_fixed=b.number not in movable) for b in near]
    formats = load_formats(session)
    tariffs = load_tariffs(session)
    problem = build_problem(
        club, venues, dates, known, squads, asks, formats, by_date=True, tariffs=tariffs
    )
    fills = disruption.fills or not (is_evening and disruption.is_closure)
    of_week = [b for b in known if b.during.overlaps(during)]
    own = asks_as_booked(problem, of_week, dropped, zone, fills=fills, one=is_evening)
    if said is not None:
        own = replace(own, asks=one_new_each(own.asks, own.placements, said.trains))
    keys = {b.squad_key for b in known if b.number in movable and b.squad_key}
    keys |= {ask.squad for ask in own.asks}
    return Standing(replace(problem, asks=own.asks), own.placements, frozenset(keys))


def load_weekly(
    session: Session, stretch: Stretch, scope: Scope, disruption: Disruption, now: datetime
) -> Standing:
    """Load the weekly pattern of a stretch from a date on.

    Raises:
        MissingError: If closed ground or a dropped squad is not there.
        RefusedError: If nothing is published, or the stretch is over.
    """
    club = load_club(session)
    zone = club.time_zone
    first = max(scope.day, now.astimezone(zone).date())
    dates = tuple(d for d in training_dates(stretch, load_breaks(session)) if d >= first)
    _refuse_nothing(dates, stretch, dates)
    proposal = last_weekly(session, stretch)
    if proposal is None:
        raise RefusedError(
            _(
                "Nothing is published for %(stretch)s yet; share it out and publish that first.",
                stretch=stretch.name,
            )
        )
    venues, squads = load_venues(session), load_squads(session)
    _refuse_unknown(disruption.dropped, {squad.key for squad in squads})
    booked = load_bookings(session, _range(dates, zone))
    hit = _hits(disruption.closures, venues, booked, zone)
    apart = _shared_apart(session)
    known = [
        b.as_fixed(is_fixed=b.number not in hit and (b.is_fixed or b.number in apart))
        for b in booked
    ]
    asks = [
        (number, ask)
        for number, ask in (
            *asks_meanwhile(session, load_asks(session), dates[0], dates[-1]),
            *_numbered(disruption.extra),
        )
        if ask.squad_key not in disruption.dropped
    ]
    formats, tariffs = load_formats(session), load_tariffs(session)
    problem = build_problem(club, venues, dates, known, squads, asks, formats, tariffs=tariffs)
    return Standing(problem, placements_of_sessions(proposal.sessions, problem), None)


def placements_of_sessions(
    sessions: Sequence[ProposedSession], problem: Problem
) -> tuple[Placement, ...]:
    """Put sessions in a problem; those that no ask or day of it speaks of are left out."""
    return tuple(placements_by_place(sessions, problem).values())


def placements_by_place(
    sessions: Sequence[ProposedSession], problem: Problem
) -> dict[int, Placement]:
    """Do the same, each under its session's place in the list."""
    days = {when: day.index for day in problem.days for when in day.dates}
    grounds = {ground.key for ground in problem.grounds}
    left = {ask.key: ask.sessions for ask in problem.asks}
    asks: dict[str, list[Ask]] = defaultdict(list)
    for ask in problem.asks:
        asks[ask.squad].append(ask)
    found = {}
    for place, item in enumerate(sessions):
        day = next((days[when] for when in item.dates if when in days), None)
        if day is None or item.ground not in grounds:
            continue
        own = _ask_for(asks[item.squad], left, item.ask, item.end_min - item.start_min)
        if own is not None:
            left[own.key] -= 1
            number = own.sessions - left[own.key] - 1
            found[place] = Placement(
                own.key, number, item.ground, day, item.start_min, item.end_min
            )
    return found


def week_dates(day: date) -> tuple[date, ...]:
    """Return the dates of a date's week, Monday first."""
    monday = day - timedelta(days=day.weekday())
    return tuple(monday + timedelta(days=n) for n in range(7))


def _ask_for(asks: Sequence[Ask], left: dict[str, int], key: str, minutes: int) -> Ask | None:
    """Find a squad's ask that a session serves: the one of its key, or one of its length."""
    fitting = [ask for ask in asks if ask.minutes == minutes and left[ask.key] > 0]
    same = [ask for ask in fitting if ask.key == key]
    return next(iter(same or fitting), None)


def _hits(
    closures: Iterable[GroundClosed],
    venues: Iterable[Venue],
    booked: Iterable[Booking],
    zone: ZoneInfo,
) -> set[int]:
    """Number the training that lies on ground while it is closed."""
    areas = {
        ground_key(pitch.key, area.key): (pitch.key, area.cells)
        for venue in venues
        for pitch in venue.pitches
        for area in pitch.areas
    }
    hit = set()
    for closure in closures:
        if closure.ground not in areas:
            raise MissingError(
                _(
                    "There is no ground “%(ground)s”; choose one of the club's.",
                    ground=closure.ground,
                )
            )
        pitch_key, cells = areas[closure.ground]
        for b in booked:
            day = b.during.starts_at.astimezone(zone).date()
            if b.pitch_key != pitch_key or not b.cells & cells or does_not_train(b):
                continue
            if closure.first <= day <= closure.last:
                start = minute_from_instant(b.during.starts_at, day, zone)
                end = minute_from_instant(b.during.ends_at, day, zone)
                if start < closure.end_min and closure.start_min < end:
                    hit.add(b.number)
    return hit


def does_not_train(booking: Booking) -> bool:
    """Whether a booking is not a squad's training."""
    return does_stand(replace(booking, is_fixed=False))


def _shared_apart(session: Session) -> set[int]:
    """Number the bookings that were shared out again for one week or evening."""
    apart = (Sort.WEEK.value, Sort.EVENING.value)
    query = (
        select(BookingRow.id)
        .join(ShareOutRow, BookingRow.share_out_id == ShareOutRow.id)
        .where(ShareOutRow.sort.in_(apart))
    )
    return set(session.scalars(query))


def _numbered(extra: Iterable[ClubAsk]) -> list[tuple[int, ClubAsk]]:
    """Give asks that are in no record numbers of their own, below 0."""
    return [(-n, ask) for n, ask in enumerate(extra, 1)]


def _range(dates: Sequence[date], zone: ZoneInfo) -> TimeRange:
    first = range_from_wall(dates[0], 0, MINUTES_A_DAY, zone)
    return TimeRange(first.starts_at, instant_from_wall(dates[-1], MINUTES_A_DAY, zone))


def _refuse_nothing(dates: Sequence[date], stretch: Stretch, span: Sequence[date]) -> None:
    if dates:
        return
    when = day_in_words(span[0]) if len(span) == 1 else _("All of it")
    raise RefusedError(
        _(
            "%(when)s is over, or lies in a break of %(stretch)s; choose a date still to come.",
            when=when,
            stretch=stretch.name,
        )
    )


def _refuse_unknown(dropped: Iterable[str], known: set[str]) -> None:
    for key in sorted(set(dropped) - known):
        raise MissingError(_("There is no squad “%(key)s”; choose one of the club's.", key=key))
