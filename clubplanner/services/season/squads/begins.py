"""A squad begins in mid-season: it gets what is free, by the rules that hold for everybody.

What is free is shown first, for each session that it asks for; one press books them all to the end
of the stretch and makes the squad an address. What cannot be had is said, with what would help.
"""

from __future__ import annotations

import secrets
import uuid
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.seasons import training_dates
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    clock_from_minute,
    instant_from_wall,
    short_day,
)
from clubplanner.errors import MissingError, OutdatedError, RefusedError
from clubplanner.language import _, ngettext, weekday_in_words
from clubplanner.services.addresses.links import SECRET_BYTES, hash_secret, new_link
from clubplanner.services.places.scenes import load_scenes
from clubplanner.services.rows.bookings.booking_rows import flush
from clubplanner.services.rows.named import find_squad
from clubplanner.services.rows.seasons.stretches import stretch_of
from clubplanner.services.rows.snapshot import load_breaks, load_stretches, load_zone
from clubplanner.services.season.free_series import (
    Spot,
    hindrances_of,
    sessions_of,
)
from clubplanner.services.showing.states.squad_endings import ending_of
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow, VenueRow
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.season_tables import SquadSeasonRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.rules.case import Scene
    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.squad_tables import SquadRow


@dataclass(frozen=True, slots=True)
class Began:
    """What was booked.

    Attributes:
        words: Sentences.
        secret: The secret part of the squad's new address; blank where it had one.
        holder: For whom that address is.
    """

    words: str
    secret: str
    holder: str


def begin_squad(
    store: Store, squad_key: str, from_day: date, choices: Sequence[str], now: datetime
) -> Began:
    """Book a squad's sessions to the end of the stretch, and make it an address.

    Args:
        store: The database.
        squad_key: Which squad.
        from_day: The first date.
        choices: One place in the week a session, as `see_squad_begin` offered them.
        now: The present instant.

    Raises:
        MissingError: If there is no such squad or place, or the date lies in no stretch.
        OutdatedError: If a place is free on fewer dates than was shown.
        RefusedError: If the squad ends, nothing was chosen, or no training date is left.
    """
    with store.write() as session:
        squad = find_squad(session, squad_key)
        stretch, dates = dates_to_come(session, squad, from_day, now)
        venue = _venue_of(session, choices)
        scene = load_scenes(session, dates[0], dates[-1], venue, squad.key)
        wanted = dict(read_choice(choice, scene) for choice in choices)
        if not wanted:
            raise RefusedError(_("Choose a place for one session at least."))
        booked, left_out = _book(session, squad, scene, wanted, dates, now)
        _begin_season(session, squad, from_day)
        secret, holder = _make_address(session, squad, now)
        done = ngettext(
            "%(squad)s begin: %(num)s session booked.",
            "%(squad)s begin: %(num)s sessions booked.",
            booked,
            squad=squad.name,
        )
        if left_out:
            done += " " + ngettext("One date left out.", "%(num)s dates left out.", left_out)
        describe_change(session, done.rstrip("."))
        done = " ".join((done, *_planned_without(session, squad, stretch)))
    return Began(done, secret, holder)


def _venue_of(session: Session, choices: Sequence[str]) -> str:
    """Return the venue of all places chosen; blank where it is not one, or they are no places."""
    numbers = [parts[3] for parts in (one.split("@") for one in choices) if len(parts) == 5]
    areas = [int(one) for one in numbers if one.isdecimal() and len(one) < 10]
    query = select(VenueRow.key).join(PitchRow.venue).join(AreaRow, AreaRow.pitch_id == PitchRow.id)
    found = session.scalars(query.where(AreaRow.id.in_(areas)).distinct()).all()
    return found[0] if len(found) == 1 else ""


def first_to_begin(store: Store, squad_key: str, now: datetime) -> date:
    """Return from when on a squad could begin: today, or between stretches when the next begins.

    Raises:
        MissingError: If there is no such squad.
        RefusedError: If no stretch is to come.
    """
    with store.read() as session:
        find_squad(session, squad_key)
        today = now.astimezone(load_zone(session)).date()
        to_come = [one for one in load_stretches(session) if one.ends_on >= today]
    if not to_come:
        raise RefusedError(_("No stretch is to come; make the next season first."))
    return max(today, min(one.starts_on for one in to_come))


def dates_to_come(
    session: Session, squad: SquadRow, from_day: date, now: datetime
) -> tuple[Stretch, list[date]]:
    """Return the stretch that a date lies in, and its training dates from then on.

    Raises:
        MissingError: If it lies in none.
        RefusedError: If the squad ends, the date has passed, or none is left.
    """
    ending = ending_of(session, squad)
    if ending:
        raise RefusedError(f"{ending}.")
    today = now.astimezone(load_zone(session)).date()
    if from_day < today:
        raise RefusedError(_("This date has passed; choose today or a later one."))
    stretch = stretch_of(session, from_day)
    dates = [d for d in training_dates(stretch, load_breaks(session)) if d >= from_day]
    if not dates:
        raise RefusedError(
            _("No training date is left in %(stretch)s from then on.", stretch=stretch.name)
        )
    return stretch, dates


def read_choice(value: str, scene: Scene) -> tuple[Spot, int]:
    """Read a choice: the place in the week, and on how many dates it was shown to be free.

    Raises:
        MissingError: If it is none.
    """
    parts = value.split("@")
    if len(parts) != 5 or not all(part.isdecimal() and len(part) < 10 for part in parts):
        raise MissingError(_("Choose for each session one of the places offered."))
    weekday, start_min, minutes, area_id, count = map(int, parts)
    keys = next((keys for keys, number in scene.area_ids.items() if number == area_id), None)
    if keys is None or weekday > 6 or minutes == 0 or start_min + minutes > 24 * 60:
        raise MissingError(_("Choose for each session one of the places offered."))
    return Spot(weekday, start_min, minutes, *keys), count


def _book(
    session: Session,
    squad: SquadRow,
    scene: Scene,
    wanted: dict[Spot, int],
    dates: Sequence[date],
    now: datetime,
) -> tuple[int, int]:
    """Book every date on which no rule stands in the way; return how many, and how many not."""
    own = scene.squads[squad.key]
    days = {spot: [d for d in dates if d.weekday() == spot.weekday] for spot in wanted}
    sessions = sessions_of(scene, own, days)
    scene = scene.with_booked(*sessions)
    free: dict[Spot, int] = dict.fromkeys(wanted, 0)
    spots = [spot for spot, own_days in days.items() for _day in own_days]
    for spot, one in zip(spots, sessions, strict=True):
        if hindrances_of(scene, one) or one.during.starts_at <= now:
            continue
        area = session.get_one(AreaRow, scene.area_ids[one.pitch_key, one.area_key])
        session.add(
            BookingRow(
                uid=f"{uuid.uuid4()}@clubplanner",
                pitch_id=area.pitch_id,
                area_id=area.id,
                cells=area.cells,
                starts_at=one.during.starts_at,
                ends_at=one.during.ends_at,
                purpose=Purpose.TRAINING,
                squad_id=squad.id,
                written_holder=squad.name,
                note="",
                is_withdrawn=False,
                is_fixed=True,
                sequence=0,
                created_at=now,
                changed_at=now,
            )
        )
        free[spot] += 1
    for spot, count in wanted.items():
        if free[spot] < count:
            raise OutdatedError(
                _(
                    "%(weekday)s %(start)s is free on fewer dates than you were shown: somebody "
                    "was quicker, or two of these sessions do not go together. Nothing was "
                    "booked; look again.",
                    weekday=weekday_in_words(spot.weekday),
                    start=clock_from_minute(spot.start_min),
                )
            )
    flush(session)
    return sum(free.values()), len(sessions) - sum(free.values())


def _planned_without(session: Session, squad: SquadRow, stretch: Stretch) -> Iterator[str]:
    """Name the later stretches that are shared out already, and hold nothing of a squad."""
    zone = load_zone(session)
    planned = select(BookingRow.id).where(
        BookingRow.is_withdrawn.is_(False), BookingRow.share_out_id.is_not(None)
    )
    own = select(BookingRow.id).where(
        BookingRow.is_withdrawn.is_(False), BookingRow.squad_id == squad.id
    )
    for later in load_stretches(session):
        if later.starts_on <= stretch.ends_on:
            continue
        within = (
            BookingRow.starts_at >= instant_from_wall(later.starts_on, 0, zone),
            BookingRow.starts_at < instant_from_wall(later.ends_on, MINUTES_A_DAY, zone),
        )
        if session.scalar(planned.where(*within).limit(1)) is None:
            continue
        if session.scalar(own.where(*within).limit(1)) is None:
            yield _(
                "%(stretch)s is shared out already, without %(squad)s: look for free places from "
                "%(day)s on, too.",
                stretch=later.name,
                squad=squad.name,
                day=short_day(later.starts_on),
            )


def _begin_season(session: Session, squad: SquadRow, from_day: date) -> None:
    """Note when the squad begins, unless it trained before: fairness counts from then."""
    start = instant_from_wall(from_day, 0, load_zone(session))
    had = select(BookingRow.id).where(BookingRow.squad_id == squad.id, BookingRow.starts_at < start)
    is_new = session.scalars(had.limit(1)).first() is None
    if is_new and session.get(SquadSeasonRow, squad.id) is None:
        session.add(SquadSeasonRow(squad_id=squad.id, starts_on=from_day, ends_on=None))


def has_address(session: Session, squad: SquadRow) -> bool:
    """Tell whether a squad has an address in use, those in mails aside."""
    query = select(LinkRow.id).where(
        LinkRow.squad_id == squad.id, LinkRow.revoked_at.is_(None), LinkRow.mail_id.is_(None)
    )
    return session.scalars(query.limit(1)).first() is not None


def _make_address(session: Session, squad: SquadRow, now: datetime) -> tuple[str, str]:
    if has_address(session, squad):
        return "", ""
    secret, holder = secrets.token_urlsafe(SECRET_BYTES), _("the squad")
    session.add(new_link(hash_secret(secret), holder, now, squad_id=squad.id))
    return secret, holder
