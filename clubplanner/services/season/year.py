"""The club's year: stretches, breaks and public holidays, each of which can be edited."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import delete, func, select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    day_in_short,
    each_date,
    instant_from_wall,
    short_day,
)
from clubplanner.domain.times.year import (
    Holiday,
    SquadSeason,
    known_countries,
    public_holidays,
    undecided_holidays,
)
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _, figure, marked, ngettext
from clubplanner.services.rows.bookings.booking_rows import note_change
from clubplanner.services.rows.seasons.season_rows import of_season, season_began
from clubplanner.services.rows.seasons.squad_seasons import load_squad_seasons
from clubplanner.services.rows.snapshot import load_breaks, load_stretches, load_venues, load_zone
from clubplanner.services.season.light.dark_sessions import find_dark_sessions
from clubplanner.store.journal.journal import describe_change, explain_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.club_tables import BreakRow, StretchRow
from clubplanner.store.tables.season_tables import HolidayPlaceRow, TrainingHolidayRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.store.engine import Store

LONGEST_DAYS = 400


@dataclass(frozen=True, slots=True)
class BreakLine:
    """A break: its number, name and dates."""

    number: int
    name: str
    starts_on: date
    ends_on: date
    booked: int

    @property
    def dates(self) -> str:
        """Its dates in words."""
        if self.starts_on == self.ends_on:
            return f"{short_day(self.starts_on)} {self.starts_on.year}"
        last = f"{short_day(self.ends_on)} {self.ends_on.year}"
        return _("%(starts_on)s to %(last)s", starts_on=short_day(self.starts_on), last=last)


@dataclass(frozen=True, slots=True)
class YearPage:
    """What the page of the year shows.

    Attributes:
        stretches: By date.
        dark_from: For stretches still ahead in which something booked is in the dark: the
            stretch's key and the first such date, in words.
        clock_changes: Dates on which the clocks change during the season.
        breaks: By date, with how many trainings are booked in each.
        country: Whose holidays count; blank for none yet.
        region: Region of it; may be blank.
        countries: Codes to choose from, with their regions.
        undecided: Holidays in the season that wait for a decision.
        kept: Holidays with training as usual.
        squads: Every squad's key and name with its own season.
    """

    stretches: tuple[Stretch, ...]
    clock_changes: tuple[str, ...]
    breaks: tuple[BreakLine, ...]
    country: str
    region: str
    countries: dict[str, tuple[str, ...]]
    undecided: tuple[Holiday, ...]
    kept: tuple[Holiday, ...]
    squads: tuple[tuple[str, str, SquadSeason], ...]
    dark_from: dict[str, str] = field(default_factory=dict)


def see_year(store: Store, now: datetime | None = None) -> YearPage:
    """Show the year: stretches, breaks, holidays and the squads' own seasons.

    Args:
        store: The database.
        now: The present instant, to leave out seasons that are over and to say when the light asks
            for another pattern; None not to.
    """
    with store.read() as session:
        place = session.get(HolidayPlaceRow, 1)
        zone = load_zone(session)
        began = None if now is None else season_began(session, now.astimezone(zone).date())
        stretches = of_season(load_stretches(session), began)
        listed = _season_holidays(session, stretches)
        kept = _kept(session)
        seasons = load_squad_seasons(session)
        squads = session.scalars(select(SquadRow).order_by(SquadRow.position))
        return YearPage(
            stretches=stretches,
            clock_changes=_changes_of_season(stretches, zone),
            breaks=tuple(
                _break_line(session, row, zone)
                for row in _break_rows(session)
                if began is None or row.ends_on >= began
            ),
            country="" if place is None else place.country,
            region="" if place is None else place.region,
            countries=known_countries(),
            undecided=undecided_holidays(listed, stretches, load_breaks(session), kept),
            kept=tuple(holiday for holiday in listed if holiday.day in kept),
            squads=tuple((row.key, row.name, seasons.get(row.id, SquadSeason())) for row in squads),
            dark_from={} if now is None else _dark_from(session, stretches, now),
        )


def find_undecided(session: Session) -> tuple[Holiday, ...]:
    """Return the public holidays in the season that nobody has decided about."""
    stretches = load_stretches(session)
    return undecided_holidays(
        _season_holidays(session, stretches), stretches, load_breaks(session), _kept(session)
    )


def set_holiday_place(store: Store, country: str, region: str) -> str:
    """Say whose public holidays count; blank for none.

    Raises:
        RefusedError: If country or region is not known.
    """
    country, region = country.strip().upper(), region.strip()
    with store.write() as session:
        today = load_stretches(session)
        day = today[0].starts_on if today else None
        if country and day is not None:
            _checked(country, region, day, day)
        elif country and country not in known_countries():
            raise RefusedError(
                _("“%(country)s” is not a known country; write a code like GB.", country=country)
            )
        session.merge(HolidayPlaceRow(id=1, country=country, region=region))
    words = f"{country}, {region}" if region else country
    return (
        _("Public holidays of %(words)s count.", words=words)
        if country
        else _("No public holidays count.")
    )


def keep_holiday(store: Store, day: date) -> str:
    """Train as usual on a public holiday."""
    with store.write() as session:
        session.merge(TrainingHolidayRow(day=day))
    return _("%(day)s: training as usual.", day=short_day(day))


def ask_again_about_holiday(store: Store, day: date) -> str:
    """Take back that there is training as usual on a holiday."""
    with store.write() as session:
        session.execute(delete(TrainingHolidayRow).where(TrainingHolidayRow.day == day))
    return _("%(day)s: not decided.", day=short_day(day))


def add_break(
    store: Store, name: str, first: date, last: date, now: datetime, *, withdraws: bool
) -> str:
    """Add dates without training.

    Args:
        store: The database.
        name: As people say it.
        first: First date.
        last: Last date, included.
        now: The present instant.
        withdraws: Whether training that a share-out booked on these dates is withdrawn; what was
            put there by hand, matches and hires stay.

    Returns:
        What was done, a sentence.

    Raises:
        RefusedError: If the dates run backwards or the break is too long, or has no name.
    """
    if not name:
        raise RefusedError(_("Say what the break is called, such as “Half term”."))
    if not 0 <= (last - first).days <= LONGEST_DAYS:
        raise RefusedError(
            _(
                "The last date must follow the first, by at most %(longest_days)s days.",
                longest_days=LONGEST_DAYS,
            )
        )
    with store.write() as session:
        session.add(BreakRow(name=name, starts_on=first, ends_on=last))
        rows = _trainings(session, first, last, now) if withdraws else []
        for row in rows:
            row.is_withdrawn = True
            note_change(row, now)
        if rows:
            describe_change(session, _("no training in %(name)s", name=name))
            explain_change(session, Reason(Cause.BREAK, name))
        withdrawn = ngettext(
            "%(num)s training withdrawn.", "%(num)s trainings withdrawn.", len(rows)
        )
        made = _("%(name)s is a break.", name=name)
        return f"{made} {withdrawn}" if rows else made


def remove_break(store: Store, number: int) -> str:
    """Take a break out; training on its dates comes back by sharing out again.

    Raises:
        MissingError: If there is none of that number.
    """
    with store.write() as session:
        row = session.get(BreakRow, number)
        if row is None:
            raise MissingError(_("This break is gone already."))
        session.delete(row)
        return _(
            "%(name)s is no break any more; share out again to have training then.", name=row.name
        )


def save_stretch(store: Store, key: str, name: str, first: date, last: date) -> str:
    """Add a stretch of the season, or change the name and dates of one.

    Args:
        store: The database.
        key: Which one; blank for a new one.
        name: As people say it.
        first: First date.
        last: Last date, included.

    Raises:
        MissingError: If there is no stretch of that key.
        RefusedError: If the dates run backwards or two stretches would overlap.
    """
    with store.write() as session:
        return write_stretch(session, key, name, first, last)


def write_stretch(session: Session, key: str, name: str, first: date, last: date) -> str:
    """Do the same within an open write session; see `save_stretch`."""
    if not name:
        raise RefusedError(_("Say what the stretch is called, such as “Winter”."))
    if not 0 <= (last - first).days <= LONGEST_DAYS:
        raise RefusedError(
            _(
                "The last date must follow the first, by at most %(longest_days)s days.",
                longest_days=LONGEST_DAYS,
            )
        )
    rows = session.scalars(select(StretchRow)).all()
    row = next((r for r in rows if r.key == key), None) if key else None
    if key and row is None:
        raise MissingError(_("There is no such stretch; choose one from the page of the year."))
    for other in rows:
        if other is not row and other.starts_on <= last and first <= other.ends_on:
            raise RefusedError(
                _(
                    "%(other)s holds some of these dates; end it before the other begins.",
                    other=other.name,
                )
            )
    if row is None:
        taken = {other.key for other in rows}
        new_key = key_from_name(name)
        if new_key in taken:
            raise RefusedError(
                _("There is a stretch “%(name)s” already; choose another name.", name=name)
            )
        row = StretchRow(key=new_key)
        session.add(row)
    row.name, row.starts_on, row.ends_on = name, first, last
    return _(
        "%(name)s: %(first)s to %(last)s %(year)s.",
        name=name,
        first=short_day(first),
        last=short_day(last),
        year=last.year,
    )


def _dark_from(session: Session, stretches: tuple[Stretch, ...], now: datetime) -> dict[str, str]:
    """Say from which date on the pattern of a stretch is in the dark."""
    found = {}
    venues = load_venues(session)
    for stretch in stretches:
        first, last = stretch.starts_on, stretch.ends_on
        dark = next(find_dark_sessions(session, venues, first, last, now), None)
        if dark is not None:
            found[stretch.key] = short_day(dark.day)
    return found


def _checked(country: str, region: str, first: date, last: date) -> tuple[Holiday, ...]:
    try:
        return public_holidays(country, region, first, last)
    except ValueError as fault:
        raise RefusedError(f"{fault}.") from fault


def _season_holidays(session: Session, stretches: tuple[Stretch, ...]) -> tuple[Holiday, ...]:
    place = session.get(HolidayPlaceRow, 1)
    if place is None or not stretches:
        return ()
    first = min(s.starts_on for s in stretches)
    last = max(s.ends_on for s in stretches)
    return _checked(place.country, place.region, first, last)


def _kept(session: Session) -> frozenset[date]:
    return frozenset(session.scalars(select(TrainingHolidayRow.day)))


def _break_rows(session: Session) -> list[BreakRow]:
    return list(session.scalars(select(BreakRow).order_by(BreakRow.starts_on, BreakRow.id)))


def _break_line(session: Session, row: BreakRow, zone: ZoneInfo) -> BreakLine:
    booked = session.scalar(
        select(func.count(BookingRow.id)).where(
            BookingRow.purpose == Purpose.TRAINING,
            BookingRow.is_withdrawn.is_(False),
            BookingRow.starts_at >= instant_from_wall(row.starts_on, 0, zone),
            BookingRow.starts_at < instant_from_wall(row.ends_on, MINUTES_A_DAY, zone),
        )
    )
    return BreakLine(row.id, row.name, row.starts_on, row.ends_on, booked or 0)


def _trainings(session: Session, first: date, last: date, now: datetime) -> list[BookingRow]:
    zone = load_zone(session)
    return list(
        session.scalars(
            select(BookingRow).where(
                BookingRow.purpose == Purpose.TRAINING,
                BookingRow.is_withdrawn.is_(False),
                BookingRow.is_fixed.is_(False),
                BookingRow.starts_at > now,
                BookingRow.starts_at >= instant_from_wall(first, 0, zone),
                BookingRow.starts_at < instant_from_wall(last, MINUTES_A_DAY, zone),
            )
        )
    )


def _changes_of_season(stretches: tuple[Stretch, ...], zone: ZoneInfo) -> tuple[str, ...]:
    if not stretches:
        return ()
    first = min(stretch.starts_on for stretch in stretches)
    return tuple(clock_changes(first, max(stretch.ends_on for stretch in stretches), zone))


def clock_changes(first: date, last: date, zone: ZoneInfo) -> list[str]:
    """Say on which dates from first to last the clocks change; sessions keep their wall time."""
    found: list[str] = []
    for day in each_date(first, last):
        before = instant_from_wall(day, 0, zone).astimezone(zone).utcoffset()
        after = instant_from_wall(day, MINUTES_A_DAY, zone).astimezone(zone).utcoffset()
        if before != after and before is not None and after is not None:
            words = (
                marked("%(day)s, forward %(hours)s h")
                if after > before
                else marked("%(day)s, back %(hours)s h")
            )
            hours = abs(after - before) / timedelta(hours=1)
            found.append(_(words, day=day_in_short(day), hours=figure(hours, "g")))
    return found
