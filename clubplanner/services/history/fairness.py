"""What each squad has had so far: hours, good and bad ground, and how even that is."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.fair import (
    GroundShare,
    Stint,
    gini_coefficient,
    jain_index,
    max_min_shares,
    part_served,
    share_ground,
)
from clubplanner.domain.times.seasons import training_dates
from clubplanner.domain.times.times import MINUTES_A_DAY, instant_from_wall
from clubplanner.errors import RefusedError
from clubplanner.language import _, figure
from clubplanner.services.history.asked import asked_hours
from clubplanner.services.history.past import past_balances
from clubplanner.services.rows.own_club import club_names_by_key, load_clubs
from clubplanner.services.rows.seasons.season_rows import of_season, season_began
from clubplanner.services.rows.snapshot import (
    load_breaks,
    load_squads,
    load_stretches,
    load_venues,
    load_zone,
)
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.columns import total_seconds
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.squads import Squad
    from clubplanner.domain.ground.grounds import Pitch
    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class SquadFair:
    """What a squad has had so far.

    Attributes:
        key: The squad.
        name: As people say it.
        hours: Training so far.
        asked: What it asked for on the same dates.
        even: What an even share of all hours had given it (max-min).
        ground: Its good and bad ground; None without an hour.
        balance: Percent points above the mean in earlier stretches, which the next share-out
            makes good; None without any.
    """

    key: str
    name: str
    hours: float
    asked: float
    even: float
    ground: GroundShare | None
    balance: float | None

    @property
    def served(self) -> float | None:
        """Hours had over hours asked for; None for a squad that asked for nothing."""
        return part_served(self.hours, self.asked)

    @property
    def words(self) -> str:
        """Its hours in words: "12.5 of 14 h", or "2.0 h, asked for nothing"."""
        if self.served is None:
            return _("%(hours)s h, asked for nothing", hours=figure(self.hours, ".1f"))
        return _(
            "%(hours)s of %(asked)s h",
            hours=figure(self.hours, ".1f"),
            asked=figure(self.asked, ".1f"),
        )


@dataclass(frozen=True, slots=True)
class ClubFair:
    """What a club within the record has had.

    Attributes:
        name: As people say it; blank for the squads of none.
        squads: How many squads it has that had, or asked for, anything.
        hours: Training of all its squads so far.
        asked: What they asked for on the same dates.
        share: Its part of the hours of all clubs, 0 to 1; None where nobody had any.
    """

    name: str
    squads: int
    hours: float
    asked: float
    share: float | None

    @property
    def served(self) -> float | None:
        """Hours had over hours asked for; None for a club that asked for nothing."""
        return part_served(self.hours, self.asked)


@dataclass(frozen=True, slots=True)
class FairPage:
    """How even the season has been so far.

    Attributes:
        since: First date counted.
        until: The last one, included.
        squads: The worst served first; those that asked for nothing last.
        jain: Jain's index of hours had over hours asked for; None where nobody had anything.
        gini: Gini coefficient of the same, likewise.
        clubs: The clubs within the record, in its order; empty where it names none.
    """

    since: date
    until: date
    squads: tuple[SquadFair, ...]
    jain: float | None
    gini: float | None
    clubs: tuple[ClubFair, ...] = ()

    @property
    def worst(self) -> SquadFair | None:
        """The squad that is furthest under an even share; None where nobody had anything."""
        if self.jain is None:
            return None
        return max(self.squads, key=lambda s: s.even - s.hours, default=None)


def see_fairness(store: Store, now: datetime) -> FairPage:
    """Show what each squad has had since the season began.

    Args:
        store: The database.
        now: The present instant; what has begun by then counts.

    Raises:
        RefusedError: If no stretch of the season has begun.
    """
    with store.read() as session:
        zone = load_zone(session)
        today = now.astimezone(zone).date()
        stretches = _begun(session, today)
        if not stretches:
            raise RefusedError(_("The season has not begun yet; there is nothing to compare."))
        since = min(stretch.starts_on for stretch in stretches)
        held = _held(session, since, today, now, zone)
        squads = load_squads(session)
        asked = _asked_hours(session, stretches, today)
        past = past_balances(session, today)
        pitches = {p.key: p for v in load_venues(session) for p in v.pitches}
        clubs = [club.name for club in load_clubs(session, ended=True)]
        club_of = club_names_by_key(session) if clubs else {}
    page = _page(squads, held, asked, past, pitches, (since, today))
    return replace(page, clubs=_by_club(page.squads, clubs, club_of)) if clubs else page


def _by_club(
    squads: Sequence[SquadFair], clubs: Sequence[str], club_of: Mapping[str, str]
) -> tuple[ClubFair, ...]:
    """Sum what squads had by their clubs, squads of none last; clubs without any are left out."""
    everything = sum(squad.hours for squad in squads)
    found = []
    for club in (*clubs, ""):
        own = [s for s in squads if club_of.get(s.key, "") == club and (s.hours or s.asked)]
        hours = sum(squad.hours for squad in own)
        if own:
            share = hours / everything if everything else None
            found.append(ClubFair(club, len(own), hours, sum(s.asked for s in own), share))
    return tuple(found)


def served_so_far(session: Session, now: datetime) -> dict[str, float]:
    """Return for each squad that asks for something: hours had over hours asked for, so far."""
    zone = load_zone(session)
    today = now.astimezone(zone).date()
    stretches = _begun(session, today)
    if not stretches:
        return {}
    asked = _asked_hours(session, stretches, today)
    hours: dict[str, float] = defaultdict(float)
    for one in _held(session, min(s.starts_on for s in stretches), today, now, zone):
        hours[one.squad_key] += one.hours
    parts = {key: part_served(hours[key], wanted) for key, wanted in asked.items()}
    return {key: part for key, part in parts.items() if part is not None}


def _begun(session: Session, today: date) -> list[Stretch]:
    """Return the stretches of this season that have begun."""
    own = of_season(load_stretches(session), season_began(session, today))
    return [stretch for stretch in own if stretch.starts_on <= today]


@dataclass(frozen=True, slots=True)
class _Held:
    """How long a squad trained on an area."""

    squad_key: str
    pitch_key: str
    area_key: str
    hours: float


def _held(session: Session, first: date, today: date, now: datetime, zone: ZoneInfo) -> list[_Held]:
    """Return the squads' training since a date that has begun by now, summed by the database."""
    start = instant_from_wall(first, 0, zone)
    end = min(instant_from_wall(today, MINUTES_A_DAY, zone), now)
    seconds = total_seconds(BookingRow.starts_at, BookingRow.ends_at)
    sums = (
        select(BookingRow.squad_id, BookingRow.area_id, seconds.label("seconds"))
        .where(
            *BookingRow.running_between(start, end),
            BookingRow.purpose == Purpose.TRAINING,
            BookingRow.squad_id.is_not(None),
            BookingRow.is_withdrawn.is_(False),
        )
        .group_by(BookingRow.squad_id, BookingRow.area_id)
        .subquery()
    )
    query = (
        select(SquadRow.key, PitchRow.key, AreaRow.key, sums.c.seconds)
        .join(SquadRow, SquadRow.id == sums.c.squad_id)
        .join(AreaRow, AreaRow.id == sums.c.area_id)
        .join(PitchRow, PitchRow.id == AreaRow.pitch_id)
        .order_by(SquadRow.position, SquadRow.id, AreaRow.id)
    )
    return [
        _Held(squad, pitch, area, total / 3600)
        for squad, pitch, area, total in session.execute(query)
    ]


def _page(
    squads: Sequence[Squad],
    held: Sequence[_Held],
    asked: dict[str, float],
    past: dict[str, float],
    pitches: dict[str, Pitch],
    dates: tuple[date, date],
) -> FairPage:
    by_key = {squad.key: squad for squad in squads}
    hours: dict[str, float] = defaultdict(float)
    stints = []
    for one in held:
        squad = by_key[one.squad_key]
        hours[squad.key] += one.hours
        ground = pitches[one.pitch_key].area(one.area_key).area_m2
        stints.append(Stint(squad.key, one.hours, ground / squad.players))
    even = max_min_shares(sum(hours.values()), [asked.get(s.key, 0.0) for s in squads])
    ground_of = share_ground(stints)
    found = [
        SquadFair(
            key=squad.key,
            name=squad.name,
            hours=hours.get(squad.key, 0.0),
            asked=asked.get(squad.key, 0.0),
            even=share,
            ground=ground_of.get(squad.key),
            balance=past.get(squad.key),
        )
        for squad, share in zip(squads, even, strict=True)
    ]
    found.sort(key=lambda one: (one.served is None, one.served or 0.0, one.name))
    served = [one.served for one in found if one.served is not None]
    return FairPage(
        since=dates[0],
        until=dates[1],
        squads=tuple(found),
        jain=jain_index(served),
        gini=gini_coefficient(served),
    )


def _asked_hours(session: Session, stretches: Sequence[Stretch], today: date) -> dict[str, float]:
    """Return what each squad asked for on the training dates so far, in hours."""
    breaks = load_breaks(session)
    days = {day for s in stretches for day in training_dates(s, breaks) if day <= today}
    return asked_hours(session, days)
