"""Every kind of drawing of the invented club, shared out and published: no words cover anything."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import chain
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.times.times import range_from_wall
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.language import speaking
from clubplanner.outputs.drawings.lettering import LEAST
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from clubplanner.resources import invented_club_files
from clubplanner.services.coach.fits.fit_places import FitPlace
from clubplanner.services.coach.fits.session_sizes import see_what_fits
from clubplanner.services.coach.squad_evening import FitForm, wish_from_form
from clubplanner.services.evening.evening import see_evening
from clubplanner.services.evening.notice_board import see_board, turn_board
from clubplanner.services.history.fair_pictures import draw_fairness
from clubplanner.services.history.fairness import see_fairness
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.rows.named import find_pitch
from clubplanner.services.rows.snapshot import load_bookings, load_club, load_squads, load_venues
from clubplanner.services.season.grass.wear import see_wear, set_limit_by_guidance
from clubplanner.services.setup.grounds.forms import draw_pitch
from clubplanner.services.setup.loading import load_files
from clubplanner.services.share_out.again.in_turns import TurnWishes, propose_turns
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.services.showing.ground.neighbours import neighbours_of
from clubplanner.services.showing.ground.plans import plan_for_squad
from clubplanner.sharing.values.brake import Brake
from tests.builders import A_WEDNESDAY
from tests.by_steps import efforts_by_steps
from tests.outputs.clear_drawings import faults_of, least_letters
from tests.records import copy_records, open_records

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.files  # a server gives the same drawings

NOW = datetime(2027, 4, 12, 9, 0, 7, 482_193, tzinfo=UTC)
"""A Monday in the invented club's spring."""
SOON = NOW + timedelta(weeks=4)


@pytest.fixture(scope="module")
def drawings(empty_file: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Give every drawing of a week of the demo, by what it is, in both languages."""
    path = tmp_path_factory.mktemp("demo") / "club.sqlite"
    copy_records(empty_file, path)
    store = open_records(path)
    files = [ClubFile(file.name, file.read_bytes()) for file in invented_club_files()]
    load_files(store, files, NOW)
    with efforts_by_steps() as effort:
        number = run_share_out(store, "spring", effort(2), NOW, brake=Brake()).number
        publish_share_out(store, number, NOW)
        turns = propose_turns(store, "spring", TurnWishes(), effort(1), NOW)
    set_limit_by_guidance(store, "Meadow", "undrained", "poor")
    turn_board(store, is_on=True, now=NOW)
    found: dict[str, str] = {}
    for language in ("en", "de"):
        with speaking(language):
            drawn = chain(_plans(store), _evenings(store), _charts(store, number, turns))
            found |= {f"{language} {name}": svg for name, svg in drawn if svg}
    store.close()
    return found


def _plans(store: Store) -> Iterator[tuple[str, str]]:
    """Draw the map of each session of a week, and what fits on each of its grounds."""
    with store.read() as session:
        club, venues = load_club(session), load_venues(session)
        squads = {squad.key: squad for squad in load_squads(session)}
        days = 7 * 24 * 60
        week = load_bookings(session, range_from_wall(NOW.date(), 0, days, club.time_zone))
    seen = set()
    for own in week:
        pitch = find_pitch(venues, own.pitch_key)[1]
        plan = plan_for_squad(pitch, own, neighbours_of(pitch, own, week), club.time_zone)
        yield f"map {own.number}", draw_ground_plan(plan)
        squad = squads.get(own.squad_key or "")
        if squad is None or (own.pitch_key, own.area_key) in seen:
            continue
        seen.add((own.pitch_key, own.area_key))
        wish = wish_from_form(FitForm(length_m=12.0, width_m=8.0, portable_goals=2), squad)
        fit = see_what_fits(FitPlace(pitch, pitch.area(own.area_key), A_WEDNESDAY), wish)
        for n, way in enumerate(fit.ways):
            yield f"way {n} of {own.number}", way.drawing
        for name, placed in (("largest", fit.largest), ("practice", fit.practice)):
            yield f"{name} of {own.number}", placed.drawing if placed else ""
    for venue in venues:
        for pitch in venue.pitches:
            yield f"pitch {pitch.key}", draw_pitch(pitch)


def _evenings(store: Store) -> Iterator[tuple[str, str]]:
    """Draw each evening of a week at its busiest, and the small plans of the notice board."""
    for days in range(7):
        day = NOW.date() + timedelta(days=days)
        for venue in see_evening(store, None, day, None).venues:
            page = see_evening(store, venue.value, day, None)
            for pitch in page.pitches:
                yield f"evening {day} {pitch.name}", pitch.drawing
            for n, row in enumerate(see_board(store, venue.value, day, NOW).rows):
                yield f"board {day} {venue.value} {n}", row.drawing


def _charts(store: Store, number: int, turns: int) -> Iterator[tuple[str, str]]:
    """Draw how well squads are served, turns, good and bad ground, and wear."""
    yield "bars", see_share_out(store, number, NOW).fairness
    for group in see_share_out(store, turns, NOW).turns:
        yield f"turns {group.day}", group.drawing
    fair = see_fairness(store, SOON)
    pictures = draw_fairness(fair, fair.squads)
    assert pictures is not None
    yield "spread", pictures.spread
    yield "fair", pictures.narrow
    for pitch in see_wear(store, NOW.date(), 8):
        yield f"load {pitch.name}", pitch.drawing


def test_every_kind_of_drawing_is_among_them(drawings: dict[str, str]) -> None:
    """The week holds maps, ways with end zones, evenings, boards and all charts."""
    kinds = {name.split()[1] for name in drawings}
    assert kinds >= {"map", "way", "largest", "practice", "pitch", "evening", "board"}
    assert kinds >= {"bars", "turns", "fair", "spread", "load"}
    assert any('stroke-dasharray="3 2"' in drawings[n] for n in drawings if " way " in n)


def test_no_words_of_any_drawing_cover_anything(drawings: dict[str, str]) -> None:
    """No word lies over another, over an outline, an end zone, a goal or a sign."""
    found = {name: faults for name, svg in drawings.items() if (faults := faults_of(svg))}
    assert found == {}


def test_no_number_of_a_cone_covers_the_foot(empty_file: Path, tmp_path: Path) -> None:
    """Where ground is full of cones, their numbers keep clear of scale and north, too."""
    path = tmp_path / "club.sqlite"
    copy_records(empty_file, path)
    store = open_records(path)
    load_files(store, [ClubFile(f.name, f.read_bytes()) for f in invented_club_files()], NOW)
    with store.read() as session:
        venues = load_venues(session)
        squad = next(squad for squad in load_squads(session) if squad.age_group == "U15")
    store.close()
    pitch = find_pitch(venues, "osier-lane-top-pitch")[1]
    wish = wish_from_form(FitForm(length_m=12.0, width_m=8.0, portable_goals=2), squad)
    fit = see_what_fits(FitPlace(pitch, pitch.area("whole"), A_WEDNESDAY), wish)
    assert [faults for way in fit.ways if (faults := faults_of(way.drawing))] == []


def test_letters_can_be_read_on_a_narrow_phone(drawings: dict[str, str]) -> None:
    """No letter is smaller than 12.5 units of a drawing 360 units wide: 11 px on the page."""
    sizes = {name: least_letters(svg) * 360 for name, svg in drawings.items()}
    assert {name: size for name, size in sizes.items() if size < LEAST} == {}
