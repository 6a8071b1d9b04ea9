"""A report on any stretch of days: who had which ground, what was asked, unused, lit and lost."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.seasons import training_dates
from clubplanner.errors import RefusedError
from clubplanner.language import _
from clubplanner.services.history.asked import asked_hours
from clubplanner.services.reports.sums.booked_time import load_booked
from clubplanner.services.reports.sums.lamp_costs import cost_lamps
from clubplanner.services.reports.sums.lost_sessions import find_lost
from clubplanner.services.reports.sums.pitch_times import Ground, Measured, measure_pitches
from clubplanner.services.reports.sums.report_values import (
    PATCHES_A_M2,
    SECONDS_AN_HOUR,
    Asked,
    Place,
    Report,
    Who,
)
from clubplanner.services.reports.sums.slices import cut_at, cut_into_months
from clubplanner.services.reports.sums.use_sums import AreaOf, load_users, sum_uses
from clubplanner.services.rows.own_club import is_held, load_clubs
from clubplanner.services.rows.snapshot import (
    load_breaks,
    load_club,
    load_stretches,
    load_venues,
)
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Area, Venue
    from clubplanner.services.reports.sums.report_values import Use, User
    from clubplanner.store.engine import Store

TWELFTHS = 12
LONGEST_DAYS = 1100
"""Three years and a little: what a report may be about."""


def make_report(store: Store, first: date, last: date, now: datetime) -> Report:
    """Report on some days.

    Args:
        store: The database. Where a club's secretary is at work, the report is about the squads of
            that club and says nothing of the ground's time, which is everybody's.
        first: First local date.
        last: Last date, included; it may lie ahead.
        now: The present instant, to tell apart what was from what is to come.

    Raises:
        NoClubError: If no club has been loaded yet.
        RefusedError: If the dates run backwards or are too many.
    """
    _check(first, last)
    with store.read() as session:
        club = load_club(session)
        zone = club.time_zone
        venues = load_venues(session)
        ground = _load_ground(session, venues)
        months = cut_into_months(first, last, zone)
        users = load_users(session)
        booked = load_booked(session, months)
        uses, on_ground = sum_uses(booked, cut_at(months, now), ground.areas, users)
        measured = Measured((), ())
        if not is_held(session):
            days = first, last
            measured = measure_pitches(booked, ground.pitches, ground.areas, months, days, zone)
        return Report(
            club=club.name,
            first=first,
            last=last,
            made_at=now,
            months=tuple(one.month for one in months),
            uses=uses,
            on_ground=on_ground,
            times=measured.times,
            asked=_asked(session, uses, users.values(), first, last),
            lost=find_lost(session, months, ground.areas, venues, zone),
            lamps=cost_lamps(session, measured, zone),
            clubs=tuple(one.name for one in load_clubs(session, ended=True)),
        )


def _check(first: date, last: date) -> None:
    if last < first:
        raise RefusedError(_("The last date comes before the first; exchange them."))
    if (last - first).days >= LONGEST_DAYS:
        raise RefusedError(
            _("Choose three years at most; for more, make a report for each season.")
        )


@dataclass(frozen=True, slots=True)
class _Grounds:
    """The ground of a report: pitches in the club's order, areas by number."""

    pitches: list[Ground]
    areas: dict[int, AreaOf]


def _load_ground(session: Session, venues: Sequence[Venue]) -> _Grounds:
    rows = session.execute(select(PitchRow.key, PitchRow.id))
    numbers = {key: number for key, number in rows}  # noqa: C416 - rows, not tuples
    grounds = []
    of_area: dict[tuple[str, str], AreaOf] = {}
    for venue in venues:
        for pitch in venue.pitches:
            whole = TWELFTHS * round(pitch.polygon.area * PATCHES_A_M2 / TWELFTHS)
            place = Place(pitch.key, pitch.name, venue.key, venue.name, whole)
            grounds.append(Ground(numbers[pitch.key], pitch, venue, place))
            for area in pitch.areas:
                of_area[pitch.key, area.key] = AreaOf(place, _patches(area, whole))
    by_number = {number: of_area[key] for key, number in _area_numbers(session).items()}
    return _Grounds(grounds, by_number)


def _patches(area: Area, whole: int) -> int:
    """Return the size of a part: of an equal one its share of the whole, as everybody says it is.

    Its corners are held to the millimetre only, so its own size would be a little off.
    """
    if area.twelfths is None:
        return round(area.area_m2 * PATCHES_A_M2)
    return whole * area.twelfths // TWELFTHS


def _area_numbers(session: Session) -> dict[tuple[str, str], int]:
    rows = session.execute(
        select(PitchRow.key, AreaRow.key, AreaRow.id).join(
            PitchRow, PitchRow.id == AreaRow.pitch_id
        )
    )
    return {(pitch, area): number for pitch, area, number in rows}


def _asked(
    session: Session, uses: Iterable[Use], users: Iterable[User], first: date, last: date
) -> tuple[Asked, ...]:
    """Return what squads asked for on the dates of training among these, and what they had."""
    breaks = load_breaks(session)
    days = {
        day
        for stretch in load_stretches(session)
        if stretch.starts_on <= last and stretch.ends_on >= first
        for day in training_dates(stretch, breaks)
        if first <= day <= last
    }
    asked = asked_hours(session, days) if days else {}
    had = _training(uses)
    found = []
    for user in users:
        wanted = round(asked.get(user.key, 0.0) * SECONDS_AN_HOUR)
        if wanted or had.get(user):
            found.append(Asked(user, wanted, had.get(user, 0)))
    return tuple(found)


def _training(uses: Iterable[Use]) -> Mapping[User, int]:
    found: dict[User, int] = {}
    for use in uses:
        if use.user.kind is Who.SQUAD and use.purpose is Purpose.TRAINING:
            found[use.user] = found.get(use.user, 0) + use.amount.seconds
    return found
