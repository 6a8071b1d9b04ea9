"""The problem list: what needs a person's hand in the coming weeks."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.told.concerns import (
    Concern,
    ConcernKind,
    monday_of,
    runs_of_weeks,
    weeks_without,
)
from clubplanner.domain.times.seasons import training_dates
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    day_in_words,
    instant_from_wall,
    short_day,
)
from clubplanner.domain.times.year import SquadSeason
from clubplanner.language import _
from clubplanner.services.evening.matches.booking import fixtures_from
from clubplanner.services.evening.matches.fixture_rows import has_ground
from clubplanner.services.places.scenes import load_scenes
from clubplanner.services.rows.ground.wear_limits import load_wear_limits
from clubplanner.services.rows.near import is_spread
from clubplanner.services.rows.own_club import is_held, own_squads
from clubplanner.services.rows.seasons.squad_seasons import load_squad_seasons
from clubplanner.services.rows.snapshot import (
    load_asks,
    load_breaks,
    load_stretches,
    load_zone,
)
from clubplanner.services.season.broken_rules import concerns_of, find_broken
from clubplanner.services.season.grass.wear import measure_pitches
from clubplanner.services.season.standing import load_standing
from clubplanner.services.season.year import find_undecided
from clubplanner.services.showing.choosing.choices import Choice, venues_apart
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.season_tables import FixtureRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.services.season.standing import Standing
    from clubplanner.store.engine import Store

USUAL_WEEKS = 4


@dataclass(frozen=True, slots=True)
class _View:
    """What is looked at."""

    session: Session
    first: date
    last: date
    zone: ZoneInfo
    now: datetime
    standing: Sequence[Standing]


def venues_ahead(store: Store) -> tuple[Choice, ...]:
    """Return the venues that are looked at one at a time; none where all are looked at together."""
    with store.read() as session:
        return venues_apart(session)


def list_concerns(
    store: Store, weeks: int, now: datetime, venue_key: str = ""
) -> tuple[Concern, ...]:
    """Return the problems of the coming weeks, by kind, then by date.

    Args:
        store: The database.
        weeks: How many weeks ahead, this one included.
        now: The present instant; what has begun is left out.
        venue_key: The only venue of whose ground and sessions is told; blank for all. What is of no
            venue (squads without a session, matches without ground, holidays) is told in any case.
    """
    with store.read() as session:
        first = now.astimezone(load_zone(session)).date()
        last = monday_of(first) + timedelta(days=7 * weeks - 1)
        view = _look(session, first, last, now, venue_key)
        is_office = not is_held(session)  # ground and the year are for it to see to
        worn = dict(_worn(view)) if is_office else {}
        return _in_order(
            [
                *concerns_of(find_broken(view.standing), worn.keys()),
                *worn.values(),
                *_no_ground(view),
                *_no_session(view),
                *(_undecided(view) if is_office else ()),
            ]
        )


def list_concerns_of_day(
    store: Store, day: date, now: datetime, venue_key: str = ""
) -> tuple[Concern, ...]:
    """Return what needs a hand on one date: rules that are broken, matches without ground.

    How much a pitch bears is a matter of its week, and told in the list of the weeks alone.

    Args:
        store: The database.
        day: The date; nothing is said of one that is over.
        now: The present instant; what has begun is left out.
        venue_key: Where a club is spread over many venues, the one of whose ground is told.
    """
    with store.read() as session:
        if day < now.astimezone(load_zone(session)).date():
            return ()
        view = _look(session, day, day, now, venue_key if is_spread(session) else "")
        weekly = {(one.case.pitch.key, monday_of(day)) for one in view.standing}
        return _in_order([*concerns_of(find_broken(view.standing), weekly), *_no_ground(view)])


def _look(session: Session, first: date, last: date, now: datetime, venue_key: str = "") -> _View:
    scene = load_scenes(session, first, last, venue_key)
    return _View(
        session=session,
        first=first,
        last=last,
        zone=scene.club.time_zone,
        now=now,
        standing=_own_standing(session, load_standing(session, scene, first, last, now, venue_key)),
    )


def _own_standing(session: Session, found: Sequence[Standing]) -> Sequence[Standing]:
    if not is_held(session):
        return found
    own = set(session.scalars(select(SquadRow.key).where(*own_squads(session))))
    return [one for one in found if one.booking.squad_key in own]


def _in_order(found: Iterable[Concern]) -> tuple[Concern, ...]:
    order = list(ConcernKind)
    return tuple(sorted(found, key=lambda c: (order.index(c.kind), c.day, c.words)))


def _no_ground(view: _View) -> Iterator[Concern]:
    own = own_squads(view.session, FixtureRow.squad_id)
    for row in fixtures_from(view.session, view.first, *own):
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


def _no_session(view: _View) -> Iterator[Concern]:
    breaks = load_breaks(view.session)
    training = [
        day
        for stretch in load_stretches(view.session)
        for day in training_dates(stretch, breaks)
        if view.first <= day <= view.last and day.weekday() < 5
    ]
    seasons = load_squad_seasons(view.session)
    own = select(SquadRow.key, SquadRow.id, SquadRow.name).where(*own_squads(view.session))
    names = {key: (number, name) for key, number, name in view.session.execute(own)}
    asking = {
        ask.squad_key: seasons.get(names[ask.squad_key][0], SquadSeason())
        for _unused, ask in load_asks(view.session)
        if ask.squad_key in names
    }
    whole_weeks = [day for day in training if monday_of(day) >= view.first]
    have = _weeks_with(view)
    for key, mondays in weeks_without(asking, have, whole_weeks).items():
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


def _weeks_with(view: _View) -> dict[str, set[date]]:
    """Return the Mondays of the weeks in which each squad has training, by the squad's key."""
    zone = view.zone
    start, end = (
        instant_from_wall(view.first, 0, zone),
        instant_from_wall(view.last, MINUTES_A_DAY, zone),
    )
    rows = view.session.execute(
        select(SquadRow.key, BookingRow.starts_at)
        .join(SquadRow, SquadRow.id == BookingRow.squad_id)
        .where(
            *BookingRow.running_between(start, end),
            *BookingRow.not_over(view.now),
            BookingRow.purpose == Purpose.TRAINING,
            BookingRow.is_withdrawn.is_(False),
        )
        .distinct()
    )
    mondays: dict[datetime, date] = {}  # few moments, and many squads that begin at them
    found: dict[str, set[date]] = defaultdict(set)
    for key, starts_at in rows:
        monday = mondays.get(starts_at)
        if monday is None:
            monday = mondays[starts_at] = monday_of(starts_at.astimezone(zone).date())
        found[key].add(monday)
    return found


def _worn(view: _View) -> Iterator[tuple[tuple[str, date], Concern]]:
    """Yield the weeks in which grass is used beyond its limit, each with what is told."""
    limits = load_wear_limits(view.session)
    if not limits:
        return
    monday = monday_of(view.first)
    weeks = (view.last - monday).days // 7 + 1
    for _unused, pitch, measured in measure_pitches(view.session, monday, weeks, limits.keys()):
        limit = limits.get(pitch.key)
        for week in measured:
            share = None if limit is None else week.share_of(limit)
            if share is None or share <= 1:
                continue
            much = _("nothing is allowed") if share == float("inf") else f"{100 * share:.0f} %"
            concern = Concern(
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
            yield (pitch.key, week.monday), concern


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
