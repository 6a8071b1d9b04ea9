"""Pitches by kind, and what is told of goals that nobody recorded."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.errors import FaultyInputError
from clubplanner.services.rows.snapshot import load_venues
from clubplanner.services.setup.club_forms import save_venue
from clubplanner.services.setup.grounds.forms import save_pitch, see_pitch_form
from clubplanner.services.setup.grounds.kinds import PitchWish, add_by_kind, list_kinds
from clubplanner.services.showing.not_said import list_not_said
from tests.builders import NOW
from tests.small_club import SQUADS, load_small_club, pitch_feature

if TYPE_CHECKING:
    from clubplanner.domain.ground.grounds import Pitch
    from clubplanner.store.engine import Store

VENUE = "marsh-lane"
NEEDING = (
    SQUADS.replace(",least ground", ",least ground,needs goal")
    .replace(",third\nU14", ",third,yes\nU14")
    .replace("20:00,third", "20:00,third,no")
)


def _pitches(store: Store) -> dict[str, Pitch]:
    with store.read() as session:
        return {pitch.name: pitch for venue in load_venues(session) for pitch in venue.pitches}


def test_several_kinds_are_added_in_one_go(empty_store: Store) -> None:
    """Each by its name or, without one, by its kind, numbered where that is taken."""
    load_small_club(empty_store)
    wishes = [
        PitchWish(1, "full-size-grass-pitch", "", is_lit=False),
        PitchWish(2, "full-size-grass-pitch", "", is_lit=True),
        PitchWish(3, "", "", is_lit=False),
        PitchWish(4, "four-court-hall", "Old gym", is_lit=False),
    ]
    names = add_by_kind(empty_store, VENUE, wishes, NOW)
    assert names == ("Full-size grass pitch", "Full-size grass pitch 2", "Old gym")
    pitches = _pitches(empty_store)
    assert not pitches["Full-size grass pitch"].is_lit
    assert pitches["Full-size grass pitch 2"].is_lit
    assert len(pitches["Full-size grass pitch"].goals) == 2
    assert pitches["Old gym"].is_indoor
    assert not pitches["Old gym"].are_goals_known


@pytest.mark.parametrize(
    ("wishes", "where"),
    [
        ([], "kind_1"),
        ([PitchWish(1, "moor", "", is_lit=False)], "kind_1"),
        ([PitchWish(2, "", "Back field", is_lit=False)], "kind_2"),
        ([PitchWish(1, "hockey-pitch", "Top pitch", is_lit=False)], "name_1"),
        (
            [
                PitchWish(1, "hockey-pitch", "Back field", is_lit=False),
                PitchWish(3, "hockey-pitch", "back field", is_lit=False),
            ],
            "name_3",
        ),
    ],
)
def test_all_are_added_or_none(empty_store: Store, wishes: list[PitchWish], where: str) -> None:
    """A fault stands at its row, and nothing is kept."""
    load_small_club(empty_store)
    before = _pitches(empty_store)
    with pytest.raises(FaultyInputError) as told:
        add_by_kind(empty_store, VENUE, wishes, NOW)
    assert [problem.where for problem in told.value.problems] == [where]
    assert _pitches(empty_store).keys() == before.keys()


def test_every_kind_says_where_its_size_is_from() -> None:
    """Nothing is filled in without its source; what is from memory says so."""
    shown = {kind.value: kind for kind in list_kinds()}
    assert all(kind.source for kind in shown.values())
    assert "not confirmed" in shown["small-pitch-in-a-cage"].source


def test_goals_not_recorded_are_told_until_somebody_says_so(empty_store: Store) -> None:
    """Where squads need goals; a tick that none stands there is an answer, too."""
    load_small_club(empty_store, squads=NEEDING)
    assert list_not_said(empty_store) == ()
    add_by_kind(empty_store, VENUE, [PitchWish(1, "four-court-hall", "Gym", is_lit=False)], NOW)
    (told,) = list_not_said(empty_store)
    assert "Gym" in told.words
    assert "1 squad needs a goal" in told.words
    form = see_pitch_form(empty_store, VENUE, told.pitch_key)
    save_pitch(
        empty_store, VENUE, told.pitch_key, {**form.cells, "no_goals": "yes"}, form.seen, NOW
    )
    assert list_not_said(empty_store) == ()
    pitch = _pitches(empty_store)["Gym"]
    assert pitch.are_goals_known
    assert pitch.goals == ()
    assert see_pitch_form(empty_store, VENUE, told.pitch_key).cells["no_goals"] == "yes"


def test_no_goal_anywhere_is_told_where_squads_need_one(empty_store: Store) -> None:
    """They would get no ground, and nothing else would say why."""
    bare = (pitch_feature("Top pitch", 100, 64, goals=[]),)
    load_small_club(empty_store, squads=NEEDING, pitches=bare)
    (told,) = list_not_said(empty_store)
    assert "no goal stands on any pitch" in told.words


def test_a_venue_without_a_place_is_told_where_ground_is_unlit(empty_store: Store) -> None:
    """Nobody can say when it gets dark there."""
    load_small_club(empty_store)
    venue = {"name": "Weir Park", "opening": "Mon-Fri 16:00-22:00"}
    save_venue(empty_store, "", venue, "", NOW)
    add_by_kind(empty_store, "weir-park", [PitchWish(1, "four-court-hall", "", is_lit=False)], NOW)
    assert list_not_said(empty_store) == ()
    add_by_kind(empty_store, "weir-park", [PitchWish(1, "hockey-pitch", "", is_lit=False)], NOW)
    (told,) = list_not_said(empty_store)
    assert "Weir Park" in told.words
    assert told.venue_key == "weir-park"
