"""What is in the dark is found by columns alone, and what works instead without looking twice."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from hypothesis import HealthCheck, given, settings
from sqlalchemy import delete, insert, select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.times.curfew import curfew
from clubplanner.domain.rules.times.light import light
from clubplanner.domain.times.times import minute_from_instant
from clubplanner.services.places.places import find_places, is_place, starts_of
from clubplanner.services.places.scenes import load_scenes, need_of
from clubplanner.services.rows.snapshot import load_venues
from clubplanner.services.season.light.dark_sessions import find_dark_sessions
from clubplanner.services.season.light.in_the_dark import (
    AT_MOST,
    MOST_OFFERS,
    MOST_TRIED,
    list_in_the_dark,
    offer_light,
)
from clubplanner.services.season.standing import load_standing
from clubplanner.services.season.year import see_year
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.season_tables import FixtureRow
from clubplanner.store.tables.squad_tables import SquadRow
from tests.builders import LONDON, NOW
from tests.drawn_bookings import DAYS, FIRST, Drawn, drawn_bookings, put_drawn

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

LAST = FIRST + timedelta(days=DAYS)
QUICK = settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])


def put_with_fixtures(store: Store, drawn: list[Drawn]) -> None:
    """Put bookings in the books; matches have 45 minutes after their end."""
    with store.write() as session:
        session.connection().execute(delete(FixtureRow.__table__))  # type: ignore[arg-type]
    put_drawn(store, drawn)
    with store.write() as session:
        squad = session.scalars(select(SquadRow.id)).first()
        matches = select(BookingRow.id, BookingRow.starts_at).where(
            BookingRow.purpose == Purpose.MATCH
        )
        for number, starts_at in session.execute(matches).all():
            session.connection().execute(
                insert(FixtureRow.__table__),  # type: ignore[arg-type]
                {
                    "squad_id": squad,
                    "day": starts_at.date(),
                    "kick_off_from": 0,
                    "kick_off_to": 0,
                    "opponent": "Brook End",
                    "format_code": "",
                    "minutes": 30,
                    "warm_up_minutes": 0,
                    "after_minutes": 45,
                    "pitch_name": "",
                    "officials": "",
                    "opponents": "",
                    "note": "",
                    "booking_id": number,
                },
            )


@QUICK
@given(drawn=drawn_bookings())
def test_the_rules_of_the_book_say_what_is_dark(small: Store, drawn: list[Drawn]) -> None:
    """What is found is in the dark by the rule book, the rest does not."""
    put_with_fixtures(small, drawn)
    with small.read() as session:
        scene = load_scenes(session, FIRST, LAST)
        by_rules = [
            (one.booking.number, one.case.day)
            for one in load_standing(session, scene, FIRST, LAST, NOW)
            if light(one.case) or curfew(one.case)
        ]
        found = list(find_dark_sessions(session, load_venues(session), FIRST, LAST, NOW))
    assert sorted(by_rules) == sorted((one.number, one.day) for one in found)
    assert [one.day for one in found] == sorted(one.day for one in found)
    told = see_year(small, NOW).dark_from
    assert bool(told) == bool(found)


@QUICK
@given(drawn=drawn_bookings())
def test_one_place_is_judged_as_among_all(small: Store, drawn: list[Drawn]) -> None:
    """`is_place` says of every area and start what `find_places` offers."""
    put_with_fixtures(small, drawn)
    with small.read() as session:
        scene = load_scenes(session, FIRST, LAST)
    squads = dict(scene.squads)
    hour = timedelta(hours=1)
    for booking in scene.bookings[:2]:
        asks = scene.asks.get(booking.squad_key or "", ())
        need = need_of(booking, squads, asks, scene.bookings[0].during.starts_at - hour,
                       earlier=hour, later=hour)  # fmt: skip
        offered = {
            (place.area_id, place.during.starts_at)
            for place in find_places(scene, need, most=10_000)
        }
        judged = {
            (scene.area_ids[pitch.key, area.key], start)
            for pitch in scene.pitches.values()
            for area in pitch.areas
            for start in starts_of(scene.club, need)
            if is_place(scene, need, pitch, area, start)
        }
        assert judged == offered


@QUICK
@given(drawn=drawn_bookings())
def test_what_works_is_free_on_every_date_nearest_first(small: Store, drawn: list[Drawn]) -> None:
    """The same is offered as by looking at all ground on each date and keeping what is common."""
    put_with_fixtures(small, drawn)
    with small.read() as session:
        scene = load_scenes(session, FIRST, LAST)
    bookings = {one.number: one for one in scene.bookings}
    for ending in offer_light(small, list_in_the_dark(small, FIRST, LAST, NOW), NOW):
        common: dict[tuple[int, int], None] = {}
        dates = list(zip(ending.numbers, ending.days, strict=True))[:MOST_TRIED]
        for place, (number, day) in enumerate(dates):
            booking = bookings[number]
            asks = scene.asks.get(booking.squad_key or "", ())
            none = timedelta(0)
            earlier, later = (none, AT_MOST) if ending.is_early else (AT_MOST, none)
            need = need_of(booking, dict(scene.squads), asks, NOW, earlier=earlier, later=later)
            there = {
                (p.area_id, minute_from_instant(p.during.starts_at, day, LONDON)): None
                for p in find_places(scene, need, most=10_000)
            }
            common = there if place == 0 else {key: None for key in common if key in there}
        told = [(offer.area_id, offer.start_min) for offer in ending.offers]
        assert told == list(common)[:MOST_OFFERS]
