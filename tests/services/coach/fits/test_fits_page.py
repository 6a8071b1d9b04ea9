"""What fits at a session, on its own page: whose numbers, which session, which ground."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select

from clubplanner.errors import RefusedError
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.coach.fits.fit_pictures import draw_fit_picture
from clubplanner.services.coach.fits.fits_page import FitsPage, see_fits
from clubplanner.services.coach.fits.kept_fits import see_fits_to_keep
from clubplanner.services.coach.squad_evening import FitForm
from clubplanner.services.setup.loading import load_files
from clubplanner.store.tables.squad_tables import SquadRow
from tests.builders import A_WEDNESDAY, NOW
from tests.large_club import noting_statements
from tests.small_club import (
    HALL,
    HARRIERS,
    KESTRELS,
    PITCHES,
    SQUADS,
    book,
    grounds_file,
    load_small_club,
    pitch_feature,
)

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


@pytest.fixture
def store(small: Store) -> Store:
    """Give the small club without bookings."""
    return small


def look(
    store: Store,
    day: date | None = None,
    number: int | None = None,
    squad: str = KESTRELS,
    **typed: Any,
) -> FitsPage:
    """Look at what fits at a squad's session."""
    secret = create_squad_link(store, squad, "a test", NOW)
    return see_fits(store, secret, day, number, FitForm(**typed), NOW)


def test_each_session_of_a_day_is_answered_for_itself(store: Store) -> None:
    """By its number; without one, or with a stranger's, the first; each leads to the others."""
    late = book(store, start_min=20 * 60, end_min=21 * 60)
    early = book(store, KESTRELS, "half-1", pitch_key=HALL)
    first = look(store)
    assert first.session is not None
    assert (first.session.number, first.is_first) == (early, True)
    assert first.others == ((late, "20:00–21:00"),)
    second = look(store, A_WEDNESDAY, late)
    assert second.session is not None
    assert (second.session.area_name, second.is_first) == ("Clubhouse third", False)
    assert second.others == ((early, "18:00–19:15"),)
    assert second.fit != first.fit
    assert look(store, A_WEDNESDAY, late + 100).session == first.session
    secret = create_squad_link(store, KESTRELS, "a browser", NOW)
    kept = see_fits_to_keep(store, secret, A_WEDNESDAY, late, 12, NOW)
    assert (kept.number, kept.digest) == (late, second.digest)
    assert see_fits_to_keep(store, secret, A_WEDNESDAY, None, 12, NOW).digest == first.digest


def test_a_date_without_a_session_names_the_next(store: Store) -> None:
    """There is nothing to fit, and what follows is known."""
    book(store)
    page = look(store, date(2026, 11, 24))
    assert (page.session, page.fit, page.digest) == (None, None, "")
    assert page.following is not None
    assert page.following.day == A_WEDNESDAY


def test_the_squads_own_numbers_stand_where_nothing_is_typed(store: Store) -> None:
    """Players and goalkeepers come from the squad; typed ones take their place."""
    book(store)
    page = look(store)
    assert (page.players, page.goalkeepers) == (14, 1)
    assert page.fit is not None
    assert page.fit.ways[0].title == "Two games of 3 v 3, one of them 4 v 3"
    page = look(store, players=13, length_m=30.0, width_m=20.0)
    assert (page.players, page.goalkeepers) == (13, 1)
    assert page.fit is not None
    assert page.fit.ways
    practice = page.fit.practice
    assert practice is not None
    assert practice.sentence.startswith("2 practice areas of 30 × 20 m")
    with pytest.raises(RefusedError, match="goalkeepers"):
        look(store, players=2, goalkeepers=3)


def test_fewer_players_than_the_squads_goalkeepers_still_have_a_page(store: Store) -> None:
    """One player comes to a squad of two goalkeepers: the numbers are made to fit."""
    book(store, HARRIERS)
    page = look(store, squad=HARRIERS, players=1)
    assert (page.players, page.goalkeepers) == (1, 1)


def test_a_squad_larger_than_any_session_has_a_page(empty_store: Store) -> None:
    """A squad beyond the numbers that are worked with still sees its ground."""
    store = load_small_club(empty_store, squads=SQUADS.replace("U12,14,1", "U12,180,70"))
    book(store)
    page = look(store)
    assert (page.players, page.goalkeepers) == (60, 60)
    assert page.squad.players == 180
    assert page.session is not None


def test_ground_under_an_obstacle_still_has_a_page(empty_store: Store) -> None:
    """Where an obstacle takes the whole area the coach is told, and still sees where it is."""
    store_box = {"name": "Stands", "x_m": 0, "y_m": 0, "length_m": 15, "width_m": 20}
    hall = pitch_feature("Hall", 30, 20, indoor=True, cuts=["halves"], obstacles=[store_box])
    store = load_small_club(empty_store, pitches=(*PITCHES[:2], hall))
    book(store, KESTRELS, "half-1", pitch_key=HALL)
    page = look(store)
    assert page.session is not None
    assert page.fit is not None
    assert page.fit.practice is not None
    assert "Obstacles leave no ground" in page.fit.practice.sentence
    assert page.session.goals.endswith("m.")


def test_a_picture_asks_for_the_head_count_once(store: Store) -> None:
    """Who said how many come that day is read from the database a single time."""
    number = book(store, KESTRELS, "half-1", pitch_key=HALL)
    secret = create_squad_link(store, KESTRELS, "a test", NOW)
    with noting_statements(store) as sent:
        png = draw_fit_picture(store, secret, number, "1", FitForm())
    assert png.startswith(b"\x89PNG")
    assert sum("FROM turnout" in statement for statement in sent) == 1


def test_ground_drawn_anew_and_a_squad_of_another_age_have_new_answers(store: Store) -> None:
    """What was answered before is remembered, and never shown for other ground or children."""
    book(store)
    before = look(store)
    assert look(store).fit == before.fit
    load_files(store, [grounds_file(pitch_feature("Top pitch", 100, 44), *PITCHES[1:])], NOW)
    narrow = look(store)
    assert narrow.fit is not None
    assert before.fit is not None
    assert narrow.fit.ways[0].drawing != before.fit.ways[0].drawing
    assert narrow.digest != before.digest
    no_goals = pitch_feature("Top pitch", 100, 44, goals=[])
    load_files(store, [grounds_file(no_goals, *PITCHES[1:])], NOW)
    bare = look(store)
    assert bare.fit is not None
    assert bare.fit.ways[0].drawing != narrow.fit.ways[0].drawing
    with store.write() as session:
        squad = session.scalars(select(SquadRow).where(SquadRow.key == KESTRELS)).one()
        squad.age_group = "U8"
    younger = look(store)
    assert younger.fit is not None
    assert younger.fit.cautions != bare.fit.cautions
