"""The problem list: what needs a person's hand in the coming weeks."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.concerns import (
    Concern,
    ConcernKind,
    find_two_places,
    monday_of,
    runs_of_weeks,
    weeks_without,
)
from clubplanner.domain.times.seasons import training_dates
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    clock_in_zone,
    day_in_words,
    each_date,
    instant_from_wall,
    short_day,
)
from clubplanner.domain.times.year import SquadSeason
from clubplanner.language import _, ngettext
from clubplanner.services.evening.matches import fixtures_from, has_ground
from clubplanner.services.rows.snapshot import (
    load_asks,
    load_bookings,
    load_breaks,
    load_club,
    load_squads,
    load_stretches,
    load_venues,
    load_zone,
)
from clubplanner.services.rows.squad_seasons import load_squad_seasons
from clubplanner.services.rows.wear_limits import load_wear_limits
from clubplanner.services.season.dark_endings import find_dark_endings
from clubplanner.services.season.wear import measure_pitches
from clubplanner.services.season.year import find_undecided
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.store.engine import Store

USUAL_WEEKS = 4


@dataclass(frozen=True, slots=True)
class _View:
    """What the rules look at."""

    session: Session
    first: date
    last: date
    now: datetime
    zone: ZoneInfo
    venues: Sequence[Venue]
    bookings: Sequence[Booking]
    travel_minutes: int


def list_concerns(store: Store, weeks: int, now: datetime) -> tuple[Concern, ...]:
    """Return the problems of the coming weeks, by kind, then by date.

    Args:
        store: The database.
        weeks: How many weeks ahead, this one included.
        now: The present instant; what has begun is left out.
    """
    with store.read() as session:
        first = now.astimezone(load_zone(session)).date()
        view = _look(session, first, monday_of(first) + timedelta(days=7 * weeks - 1), now)
        rules = (_two_places, _no_ground, _dark, _no_session, _worn, _undecided, _in_break)
        return _in_order(concern for rule in rules for concern in rule(view))


def list_concerns_of_day(store: Store, day: date, now: datetime) -> tuple[Concern, ...]:
    """Return what needs a hand on one date: two places at once, no ground, the dark, a break.

    Args:
        store: The database.
        day: The date; nothing is said of one that is over.
        now: The present instant; what has begun is left out.
    """
    with store.read() as session:
        if day < now.astimezone(load_zone(session)).date():
            return ()
        view = _look(session, day, day, now)
        rules = (_two_places, _no_ground, _dark, _in_break)
        return _in_order(concern for rule in rules for concern in rule(view))


def _look(session: Session, first: date, last: date, now: datetime) -> _View:
    club = load_club(session)
    zone = club.time_zone
    during = TimeRange(
        instant_from_wall(first, 0, zone), instant_from_wall(last, MINUTES_A_DAY, zone)
    )
    return _View(
        session=session,
        first=first,
        last=last,
        now=now,
        zone=zone,
        venues=load_venues(session),
        bookings=[b for b in load_bookings(session, during) if b.during.ends_at > now],
        travel_minutes=club.travel_minutes,
    )


def _in_order(found: Iterable[Concern]) -> tuple[Concern, ...]:
    order = list(ConcernKind)
    return tuple(sorted(found, key=lambda c: (order.index(c.kind), c.day, c.words)))


def _two_places(view: _View) -> Iterator[Concern]:
    coaches = {squad.key: squad.coach for squad in load_squads(view.session)}
    venue_of = {pitch.key: venue.key for venue in view.venues for pitch in venue.pitches}
    for two in find_two_places(view.bookings, coaches, venue_of, view.travel_minutes):
        day = two.second.during.starts_at.astimezone(view.zone).date()
        how = _("too little time for the way") if two.is_travel else _("at the same time")
        yield Concern(
            ConcernKind.TWO_PLACES,
            day,
            _(
                "%(who)s, %(day)s: %(first)s and %(second)s, %(how)s.",
                who=two.who,
                day=short_day(day),
                first=_booked(view, two.first),
                second=_booked(view, two.second),
                how=how,
            ),
            _("Move one of them, or let somebody else take it."),
            f"desk.evening {day} {venue_of[two.second.pitch_key]}",
        )


def _no_ground(view: _View) -> Iterator[Concern]:
    for row in fixtures_from(view.session, view.first):
        if row.day <= view.last and not has_ground(row):
            yield Concern(
                ConcernKind.NO_GROUND,
                row.day,
                _(
                    "%(squad)s v %(opponent)s, %(day)s, has no ground.",
                    squad=row.squad.name,
                    opponent=row.opponent,
                    day=short_day(row.day),
                ),
                _("Choose its ground and kick-off."),
                f"season.match {row.id}",
            )


def _dark(view: _View) -> Iterator[Concern]:
    endings = find_dark_endings(view.session, view.first, view.last, view.now, with_offers=False)
    for ending in endings:
        yield Concern(
            ConcernKind.DARK,
            ending.days[0],
            _(
                "%(holder)s, %(when)s, %(place)s: %(worst)s on %(dates)s.",
                holder=ending.holder,
                when=ending.when,
                place=ending.place,
                worst=ending.worst,
                dates=ending.dates,
            ),
            _("Look what is free and light then."),
            "season.light",
        )


def _no_session(view: _View) -> Iterator[Concern]:
    breaks = load_breaks(view.session)
    training = [
        day
        for stretch in load_stretches(view.session)
        for day in training_dates(stretch, breaks)
        if view.first <= day <= view.last and day.weekday() < 5
    ]
    seasons = load_squad_seasons(view.session)
    names = {row.key: (row.id, row.name) for row in view.session.scalars(select(SquadRow))}
    asking = {
        ask.squad_key: seasons.get(names[ask.squad_key][0], SquadSeason())
        for _unused, ask in load_asks(view.session)
    }
    whole_weeks = [day for day in training if monday_of(day) >= view.first]
    for key, mondays in weeks_without(asking, view.bookings, whole_weeks, view.zone).items():
        runs = [
            _("the week of %(day)s", day=short_day(a))
            if a == b
            else _("the weeks %(first)s to %(last)s", first=short_day(a), last=short_day(b))
            for a, b in runs_of_weeks(mondays)
        ]
        yield Concern(
            ConcernKind.NO_SESSION,
            mondays[0],
            _("%(names)s have no session in %(runs)s.", names=names[key][1], runs=", ".join(runs)),
            _("Share out again, or book one by hand."),
            "share_outs.listing",
        )


def _worn(view: _View) -> Iterator[Concern]:
    limits = load_wear_limits(view.session)
    monday = monday_of(view.first)
    weeks = (view.last - monday).days // 7 + 1
    for _unused, pitch, measured in measure_pitches(view.session, monday, weeks):
        limit = limits.get(pitch.key)
        for week in measured:
            share = None if limit is None else week.share_of(limit)
            if share is None or share <= 1:
                continue
            much = _("nothing is allowed") if share == float("inf") else f"{100 * share:.0f} %"
            yield Concern(
                ConcernKind.WORN,
                max(week.monday, view.first),
                _(
                    "%(pitch)s, week of %(monday)s: %(much)s of what it bears.",
                    pitch=pitch.name,
                    monday=short_day(week.monday),
                    much=much,
                ),
                _("Move sessions to other ground, or withdraw some."),
                "season.wear",
            )


def _undecided(view: _View) -> Iterator[Concern]:
    for holiday in find_undecided(view.session):
        if view.first <= holiday.day <= view.last:
            yield Concern(
                ConcernKind.UNDECIDED,
                holiday.day,
                _(
                    "%(holiday)s, %(day)s: a public holiday.",
                    holiday=holiday.name,
                    day=day_in_words(holiday.day),
                ),
                _("Decide: no training, or as usual."),
                "season.year",
            )


def _in_break(view: _View) -> Iterator[Concern]:
    for gap in load_breaks(view.session):
        days = set(each_date(max(gap.starts_on, view.first), min(gap.ends_on, view.last)))
        booked = [
            b
            for b in view.bookings
            if b.purpose is Purpose.TRAINING
            and b.during.starts_at.astimezone(view.zone).date() in days
        ]
        if booked:
            yield Concern(
                ConcernKind.IN_BREAK,
                min(days),
                ngettext(
                    "%(gap)s: %(num)s training is booked all the same.",
                    "%(gap)s: %(num)s trainings are booked all the same.",
                    len(booked),
                    gap=gap.name,
                ),
                _("Withdraw them, or take the break out."),
                "season.year",
            )


def _booked(view: _View, booking: Booking) -> str:
    pitch = next(p for v in view.venues for p in v.pitches if p.key == booking.pitch_key)
    start = clock_in_zone(booking.during.starts_at, view.zone)
    end = clock_in_zone(booking.during.ends_at, view.zone)
    return _(
        "%(holder)s on %(pitch)s %(start)s–%(end)s",
        holder=booking.holder,
        pitch=pitch.name,
        start=start,
        end=end,
    )
