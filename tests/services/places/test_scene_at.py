"""Of one booking only what the rules look at is loaded, and they say the same as of all of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings
from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.book import hindrances
from clubplanner.domain.rules.ground import changeover, load
from clubplanner.domain.rules.people import coach, evenings_in_a_row, rest
from clubplanner.services.places.ruling import case_at
from clubplanner.services.places.scenes import load_scene, load_scene_at
from clubplanner.services.rows.snapshot import booking_from_row
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.ground_tables import PitchRow
from clubplanner.store.tables.season_tables import WearLimitRow
from clubplanner.store.tables.squad_tables import AskRow
from tests.builders import LONDON
from tests.drawn_bookings import PLACES, Drawn, drawn_bookings, put_drawn
from tests.small_club import HARRIERS, KESTRELS, TOP, load_small_club

if TYPE_CHECKING:
    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.rules.case import Scene
    from clubplanner.store.engine import Store
    from tests.stores import Filled

SQUADS = """\
squad,age group,players,goalkeepers,coach,sessions a week,minutes,possible,least ground
U12 Kestrels,U12,14,1,Robin Hale,1,75,Wed 18:00-19:15,third
U14 Harriers,U14,16,2,Robin Hale,2,60,Mon-Fri 18:00-20:00,third
"""
DAYS = 9
"""So few that bookings stand in each other's way."""


def tight(store: Store) -> None:
    """Load a club in which every rule that looks at bookings has something to say."""
    load_small_club(store, squads=SQUADS)
    with store.write() as session:
        club = session.get_one(ClubRow, 1)
        club.changeover_minutes, club.travel_minutes = 130, 30
        for ask in session.scalars(select(AskRow)):
            ask.rest_days, ask.most_in_a_row = 1, 2
        pitch = session.scalars(select(PitchRow).where(PitchRow.key == TOP)).one()
        session.add(
            WearLimitRow(pitch_id=pitch.id, hours=1, matches=None, source="the club", quality="")
        )


def apart(drawn: list[Drawn]) -> list[Drawn]:
    """Put them on few days, and leave out what would meet."""
    kept: list[Drawn] = []
    for one in (one._replace(day=one.day % DAYS) for one in drawn):
        if all((one.day, one.hour, one.place[0]) != (o.day, o.hour, o.place[0]) for o in kept):
            kept.append(one)
    return kept


def said(scene: Scene, booking: Booking) -> list[tuple[str, str]]:
    """Return what the rules say of a booking where it stands."""
    pitch = scene.pitches[booking.pitch_key]
    case = case_at(scene, booking, pitch, pitch.area(booking.area_key), booking.during)
    return [(one.rule, one.words) for one in hindrances(case)]


@pytest.fixture
def shared(filled: Filled) -> Store:
    """Give the tight club."""
    return filled(tight)


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(drawn=drawn_bookings())
def test_the_rules_say_the_same_of_it(shared: Store, drawn: list[Drawn]) -> None:
    """Whatever is booked round it: of everything within reach they say no more."""
    put_drawn(shared, apart(drawn))
    with shared.read() as session:
        rows = session.scalars(select(BookingRow).where(BookingRow.is_withdrawn.is_(False))).all()
        for row in rows:
            booking = booking_from_row(row)
            all_of_it = load_scene(session, row.starts_at.astimezone(LONDON).date())
            near = load_scene_at(session, booking)
            assert said(near, booking) == said(all_of_it, booking)


def test_every_rule_that_looks_at_bookings_has_something_to_say(shared: Store) -> None:
    """Else the comparison would tell nothing."""
    train = Purpose.TRAINING
    drawn = [
        *(Drawn(day, 18, 120, PLACES[0], KESTRELS, train, False) for day in (0, 1, 2)),
        Drawn(1, 20, 120, PLACES[0], None, Purpose.HIRE, False),
        Drawn(1, 18, 120, PLACES[3], HARRIERS, train, False),
    ]
    put_drawn(shared, drawn)
    with shared.read() as session:
        booking = booking_from_row(session.get_one(BookingRow, 2))
        told = {rule for rule, _words in said(load_scene_at(session, booking), booking)}
    assert {coach.NAME, rest.NAME, evenings_in_a_row.NAME, changeover.NAME, load.NAME} <= told


def test_far_less_is_loaded(shared: Store) -> None:
    """Of a hirer only the own pitch counts, and no more of it than changing over takes."""
    day = [Drawn(2, hour, 60, place, None, Purpose.HIRE, False)
           for hour in (0, 8, 18, 22) for place in PLACES[:3]]  # fmt: skip
    put_drawn(shared, day)
    with shared.read() as session:
        row = session.scalars(select(BookingRow).order_by(BookingRow.starts_at)).first()
        assert row is not None
        assert len(load_scene_at(session, booking_from_row(row)).bookings) == 3
        assert len(load_scene(session, row.starts_at.astimezone(LONDON).date()).bookings) == 12
