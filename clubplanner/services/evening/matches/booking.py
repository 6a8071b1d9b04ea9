"""Giving a match its ground: which areas do, whom it displaces, and where they can go."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.times.times import TimeRange, clock_from_minute, short_day
from clubplanner.errors import ClashError, RefusedError
from clubplanner.language import _, sentence
from clubplanner.services.evening.matches.fixture_rows import (
    fixture_from_row,
    has_ground,
    load_fixture,
)
from clubplanner.services.evening.matches.options import (
    MatchOption,
    find_option,
    match_options,
    needs_in_words,
)
from clubplanner.services.places.displaced import (
    Displaced,
    foresee_displaced,
    place_settled,
    settle_displaced,
)
from clubplanner.services.places.ruling import booking_as_wished
from clubplanner.services.rows.bookings.booking_rows import (
    BookingWish,
    clashes_from_rows,
    find_holders,
    flush,
    insert_booking,
    load_area,
    note_change,
    put_row,
    refuse_clash,
)
from clubplanner.services.rows.ground.own_sizes import load_formats
from clubplanner.services.rows.own_club import own_squads
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.season_tables import FixtureRow

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date, datetime

    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.fixtures import Fixture
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.booking_tables import BookingRow
    from clubplanner.store.tables.ground_tables import AreaRow

MOST_OPTIONS = 12


@dataclass(frozen=True, slots=True)
class MatchLine:
    """A match in the list.

    Attributes:
        number: The fixture's number.
        day: Local date.
        when: Date and kick-off in words.
        squad_name: Whose.
        opponent: Against whom.
        game: The form of the game.
        place: Its ground; blank as long as it has none.
        venue_key: Where; blank as long as it has no ground.
    """

    number: int
    day: date
    when: str
    squad_name: str
    opponent: str
    game: str
    place: str
    venue_key: str


@dataclass(frozen=True, slots=True)
class MatchPage:
    """A match with what can be done for it.

    Attributes:
        line: The match.
        fixture: As it was arranged.
        needs: What it needs, in words.
        options: Ground and times that do, those that disturb fewest first.
        chosen: The option looked at; None while none is.
        displaced: Who has to go for it, and where they can go.
    """

    line: MatchLine
    fixture: Fixture
    needs: str
    options: tuple[MatchOption, ...]
    chosen: MatchOption | None = None
    displaced: tuple[Displaced, ...] = ()


def list_matches(store: Store, now: datetime) -> tuple[MatchLine, ...]:
    """Return the matches that are not over, by date."""
    with store.read() as session:
        return tuple(match_line(row) for row in coming_fixtures(session, now))


def coming_fixtures(session: Session, now: datetime) -> list[FixtureRow]:
    """Return the fixtures that are not over, by date; to the secretary of a club its own."""
    today = now.astimezone(load_zone(session)).date()
    return fixtures_from(session, today, *own_squads(session, FixtureRow.squad_id))


def fixtures_from(session: Session, first: date, *which: ColumnElement[bool]) -> list[FixtureRow]:
    """Return the fixtures from a date on that have not been called off, or some of them."""
    return list(
        session.scalars(
            select(FixtureRow)
            .where(FixtureRow.day >= first, FixtureRow.withdrawn_at.is_(None), *which)
            .order_by(FixtureRow.day, FixtureRow.kick_off_from, FixtureRow.id)
        )
    )


def see_match(
    store: Store, number: int, now: datetime, choice: tuple[int, int] | None = None
) -> MatchPage:
    """Show a match, the ground that does for it, and whom a choice displaces; changes nothing.

    Args:
        store: The database.
        number: The fixture's number.
        now: The present instant.
        choice: Area number and minute of kick-off that are looked at; None for none yet.

    Raises:
        MissingError: If there is no such match, or the choice is none of the options.
    """
    with store.read() as session:
        row = load_fixture(session, number)
        fixture = fixture_from_row(row)
        options = tuple(match_options(session, fixture))
        chosen: MatchOption | None = None
        displaced: tuple[Displaced, ...] = ()
        if choice is not None:
            chosen = find_option(options, choice)
            area = load_area(session, chosen.area_id)
            during = fixture.needs(chosen.kick_off_min, load_zone(session))
            rows = find_holders(session, area.pitch_id, area.cells, during)
            coming = booking_as_wished(session, _wish(row, area, chosen, during))
            displaced = foresee_displaced(
                session, rows, area.pitch.key, area.cells, during, now, coming
            )
        return MatchPage(
            line=match_line(row),
            fixture=fixture,
            needs=needs_in_words(fixture, load_formats(session)),
            options=options[:MOST_OPTIONS],
            chosen=chosen,
            displaced=displaced,
        )


def place_match(
    store: Store,
    number: int,
    choice: tuple[int, int],
    decisions: Mapping[int, str],
    now: datetime,
) -> str:
    """Give a match its ground and settle the trainings it displaces, in one transaction.

    Args:
        store: The database.
        number: The fixture's number.
        choice: Area number and minute of kick-off, one of the options.
        decisions: For each displaced training where it goes, as `see_match` offered.
        now: The present instant.

    Returns:
        What was done, a sentence.

    Raises:
        ClashError: If the ground is held by another match, a hirer or a closure.
        MissingError: If the match or the choice is gone.
        OutdatedError: If a training has come since the person looked.
        RefusedError: If the match has ground already, or the time has passed.
    """
    with store.write() as session:
        row = load_fixture(session, number)
        if has_ground(row):
            raise RefusedError(_("This match has ground already; change or withdraw it first."))
        fixture = fixture_from_row(row)
        option = find_option(tuple(match_options(session, fixture)), choice)
        area = load_area(session, option.area_id)
        during = fixture.needs(option.kick_off_min, load_zone(session))
        if during.starts_at <= now:
            raise RefusedError(_("This time has passed; give the match a later date first."))
        trainings = _trainings(session, area, during)
        settled = settle_displaced(session, trainings, decisions, now)
        take_ground(session, row, option, now)
        result = place_settled(session, settled)
        describe_change(
            session,
            _(
                "%(squad)s v %(opponent)s on %(place)s; %(result)s",
                squad=row.squad.name,
                opponent=row.opponent,
                place=option.place,
                result=result.words,
            ),
        )
        return _(
            "%(squad)s v %(opponent)s: %(place)s, kick-off %(kick_off)s. %(result)s.",
            squad=row.squad.name,
            opponent=row.opponent,
            place=option.place,
            kick_off=option.kick_off,
            result=sentence(result.words),
        )


def take_ground(session: Session, row: FixtureRow, option: MatchOption, now: datetime) -> None:
    """Put a match on ground that is free by now; the squad sees its own booking again, if any.

    Raises:
        ClashError: If somebody has taken the ground at this very moment.
    """
    area = load_area(session, option.area_id)
    during = fixture_from_row(row).needs(option.kick_off_min, load_zone(session))
    wish = _wish(row, area, option, during)
    booking = row.booking
    if booking is None:
        row.booking_id = insert_booking(session, wish, now).id
        return
    refuse_clash(session, area, during, besides=booking.id)
    put_row(booking, area, during)
    booking.note, booking.is_fixed, booking.is_withdrawn = wish.note, True, False
    note_change(booking, now)
    flush(session)


def place_free_matches(store: Store, now: datetime) -> tuple[str, ...]:
    """Give ground to every match without any that disturbs nobody, on full-sized ground.

    Returns:
        A sentence for each match that was given ground.
    """
    done = []
    for line in list_matches(store, now):
        if line.place:
            continue
        for option in see_match(store, line.number, now).options:
            if option.displaces or not option.is_full_size:
                continue
            choice = (option.area_id, option.kick_off_min)
            try:
                done.append(place_match(store, line.number, choice, {}, now))
            except (ClashError, RefusedError):
                continue
            break
    return tuple(done)


def _trainings(session: Session, area: AreaRow, during: TimeRange) -> list[BookingRow]:
    rows = find_holders(session, area.pitch_id, area.cells, during)
    firm = [row for row in rows if row.purpose is not Purpose.TRAINING]
    if firm:
        raise ClashError(clashes_from_rows(session, firm))
    return rows


def match_note(row: FixtureRow, kick_off: str) -> str:
    """Write the note of a match's booking: kick-off, opponent, and what else was arranged."""
    words = _(
        "Kick-off %(kick_off)s against %(opponent)s", kick_off=kick_off, opponent=row.opponent
    )
    parts = (words, row.opponents, row.officials, row.note)
    return ". ".join(part.rstrip(".") for part in parts if part) + "."


def _wish(row: FixtureRow, area: AreaRow, option: MatchOption, during: TimeRange) -> BookingWish:
    return BookingWish(
        area_id=area.id,
        during=during,
        purpose=Purpose.MATCH,
        squad_id=row.squad_id,
        holder=row.squad.name,
        note=match_note(row, option.kick_off),
        is_fixed=True,
    )


def match_line(row: FixtureRow) -> MatchLine:
    """Return a match as a list shows it."""
    place, venue_key = "", ""
    if row.booking is not None and has_ground(row):
        area = row.booking.area
        place = part_in_words(area, row.booking.pitch.name)
        venue_key = row.booking.pitch.venue.key
    kick_off = clock_from_minute(row.kick_off_from)
    if row.kick_off_to > row.kick_off_from:
        kick_off += " " + _("to %(kick_off_to)s", kick_off_to=clock_from_minute(row.kick_off_to))
    return MatchLine(
        number=row.id,
        day=row.day,
        when=_("%(day)s, kick-off %(kick_off)s", day=short_day(row.day), kick_off=kick_off),
        squad_name=row.squad.name,
        opponent=row.opponent,
        game=row.format_code,
        place=place,
        venue_key=venue_key,
    )
