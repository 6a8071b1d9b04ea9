"""Answers of what fits that a process remembers: never a stale one, never too many."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields, replace
from datetime import date
from typing import TYPE_CHECKING, Any

import pytest
import shapely

from clubplanner.domain.ground.formats import GameFormat
from clubplanner.domain.ground.grounds import Area, Edges, Goal, GoalKind, Pitch
from clubplanner.domain.ground.orientation.facing import Facing, plans_facing
from clubplanner.domain.ground.orientation.measures import Measure, measuring
from clubplanner.errors import RefusedError
from clubplanner.geometry.frame import Frame
from clubplanner.geometry.shapes import rectangle
from clubplanner.language import speaking
from clubplanner.services.coach.fits import session_sizes
from clubplanner.services.coach.fits.fit_places import FitPlace, FitWish
from clubplanner.services.coach.fits.remembered import ANSWERS, Answers, question
from clubplanner.services.coach.fits.session_sizes import draw_fit, see_what_fits
from clubplanner.services.rows.ground.known_sizes import published_formats
from tests.builders import A_WEDNESDAY, FULL_SIZE_GOALS, make_pitch

if TYPE_CHECKING:
    from collections.abc import Iterator

PITCH = make_pitch(goals=(FULL_SIZE_GOALS,))
AREA = PITCH.area("third-1")
WISH = FitWish(14, 1, None, None, 12)
PLACE = FitPlace(PITCH, AREA, A_WEDNESDAY)
HALL = make_pitch("Mill hall", length_m=33.0, width_m=18.0, cuts=(), goals=(), is_indoor=True)


@pytest.fixture
def worked_out(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[FitWish]]:
    """Begin without any answer, and note what is worked out."""
    noted: list[FitWish] = []
    work_out = session_sizes._work_out

    def note(place: FitPlace, wish: FitWish, *how: Any) -> Any:
        noted.append(wish)
        return work_out(place, wish, *how)

    monkeypatch.setattr(session_sizes, "_work_out", note)
    ANSWERS.forget()
    yield noted
    ANSWERS.forget()


OTHER_PITCHES: dict[str, Any] = {
    "key": "elsewhere",
    "name": "Far pitch",
    "venue_key": "elsewhere",
    "surface": "artificial",
    "is_lit": not PITCH.is_lit,
    "is_indoor": True,
    "polygon": shapely.affinity.translate(PITCH.polygon, 0.001),
    "frame": Frame(9.0, 48.0, 12.0),
    "edges": Edges("north", "south", "east", "west"),
    "areas": PITCH.areas[:3],
    "goals": tuple(replace(goal, x_m=goal.x_m + 0.1) for goal in PITCH.goals),
    "obstacles": (rectangle(4, 4, 1, 1),),
    "portable_goals": 3,
    "entrance": (3.0, 0.0),
    "are_goals_known": False,
}
OTHER_AREAS: dict[str, Any] = {
    "key": "mini",
    "name": "Clubhouse end",
    "cut": "markings",
    "polygon": shapely.affinity.translate(AREA.polygon, 0.001),
    "cells": AREA.cells + 1,
    "twelfths": 5,
}
OTHER_WISHES: dict[str, Any] = {
    "players": 15,
    "goalkeepers": 2,
    "length_m": 20.0,
    "width_m": 10.0,
    "age": 13,
    "portable_goals": 2,
    "pace_m": 0.7,
    "target_goals": 1,
    "margin_m": 2.0,
}
OTHER_PLACES: dict[str, Any] = {
    "pitch": replace(PITCH, name="Far pitch"),
    "area": PITCH.area("third-2"),
    "on": date(2027, 9, 1),
    "own_formats": (replace(published_formats()[0], run_off_m=4.0),),
    "halls": (HALL,),
    "neighbours": (PITCH.area("third-2").polygon,),
}
GOAL = Goal(0.0, 30.0, 90.0, 5.0, 2.0, GoalKind.FIXED)
OTHER_GOALS: dict[str, Any] = {
    "x_m": 0.2,
    "y_m": 30.2,
    "along_deg": 91.0,
    "width_m": 3.66,
    "height_m": 1.83,
    "kind": GoalKind.PORTABLE,
}
FORMAT = published_formats()[0]
OTHER_FORMATS: dict[str, Any] = {
    "code": "77v77",
    "sport": "korfball",
    "body": "The club",
    "age_from": 70,
    "age_to": 71,
    "players_a_side": 77,
    "length_m": 44.25,
    "width_m": 33.25,
    "run_off_m": 1.25,
    "goal_width_m": 3.25,
    "goal_height_m": 1.25,
    "standing": "club",
    "source": "its own book",
    "note": "on the lower field",
    "valid_from": date(2001, 1, 1),
    "valid_until": date(2101, 1, 1),
}
EACH_FIELD: list[tuple[type, str, FitPlace, FitWish]] = (
    [(Pitch, name, replace(PLACE, pitch=replace(PITCH, **{name: value})), WISH)
     for name, value in OTHER_PITCHES.items()]
    + [(Area, name, replace(PLACE, area=replace(AREA, **{name: value})), WISH)
       for name, value in OTHER_AREAS.items()]
    + [(FitWish, name, PLACE, replace(WISH, **{name: value}))
       for name, value in OTHER_WISHES.items()]
    + [(FitPlace, name, replace(PLACE, **{name: value}), WISH)
       for name, value in OTHER_PLACES.items()]
)  # fmt: skip


def test_every_field_is_tried() -> None:
    """A field that is added is to be tried here, too."""
    tried: dict[Any, set[str]] = {
        kind: {name for one, name, *_ in EACH_FIELD if one is kind} for kind, *_ in EACH_FIELD
    }
    tried |= {Goal: set(OTHER_GOALS), GameFormat: set(OTHER_FORMATS)}
    for kind, names in tried.items():
        assert names == {field.name for field in fields(kind)}


@pytest.mark.parametrize(("kind", "name", "place", "wish"), EACH_FIELD)
def test_whatever_is_otherwise_is_another_question(
    kind: type, name: str, place: FitPlace, wish: FitWish
) -> None:
    """Ground, goals, who is beside it, the squad's age, every number: each makes another."""
    assert question(place, wish) != question(PLACE, WISH)


@pytest.mark.parametrize("name", OTHER_GOALS)
def test_a_goal_that_is_otherwise_is_another_question(name: str) -> None:
    """Moved, turned, wider or carried away."""
    pitches = [
        replace(PITCH, goals=(goal,)) for goal in (GOAL, replace(GOAL, **{name: OTHER_GOALS[name]}))
    ]
    one, other = (question(replace(PLACE, pitch=pitch), WISH) for pitch in pitches)
    assert one != other


@pytest.mark.parametrize("name", OTHER_FORMATS)
def test_a_size_of_the_clubs_own_that_is_otherwise_is_another_question(name: str) -> None:
    """The club's own table is corrected: what was answered by it is not shown any more."""
    tables = [(FORMAT,), (replace(FORMAT, **{name: OTHER_FORMATS[name]}),)]
    one, other = (question(replace(PLACE, own_formats=table), WISH) for table in tables)
    assert one != other


def test_who_reads_it_is_part_of_the_question() -> None:
    """Language, measure and which way round plans lie."""
    asked = [question(PLACE, WISH)]
    with speaking("de"):
        asked.append(question(PLACE, WISH))
    with measuring(Measure.YARDS):
        asked.append(question(PLACE, WISH))
    with plans_facing(Facing.NORTH):
        asked.append(question(PLACE, WISH))
    assert len(set(asked)) == 4


def test_equal_values_are_the_same_question() -> None:
    """Read anew from the records, lists for tuples: nothing but the values counts."""
    again = make_pitch(goals=(FULL_SIZE_GOALS,))
    place = FitPlace(again, again.area("third-1"), A_WEDNESDAY, [], [], [])
    assert question(place, replace(WISH)) == question(PLACE, WISH)


def test_what_is_not_known_to_be_a_value_is_refused() -> None:
    """Something that may change under a digest has none."""
    with pytest.raises(TypeError, match="no digest of dict"):
        question(replace(PLACE, own_formats=({},)), WISH)  # type: ignore[arg-type]


def test_an_answer_is_worked_out_once(worked_out: list[FitWish]) -> None:
    """Asked again it is the same, byte for byte, and nothing is worked out; nor for its picture."""
    place = replace(PLACE, halls=(HALL,))
    first = see_what_fits(place, WISH)
    assert see_what_fits(place, WISH) == first
    assert [draw_fit(PLACE, WISH, str(n + 1)) for n in range(len(first.ways))] == [
        way.drawing for way in first.ways
    ]
    assert worked_out == [WISH]
    assert any(night.occasion.startswith("In Mill hall") for night in first.others)
    assert not any(night.occasion.startswith("In ") for night in see_what_fits(PLACE, WISH).others)
    ANSWERS.forget()
    assert see_what_fits(place, WISH) == first


def test_a_stale_answer_never_comes(worked_out: list[FitWish]) -> None:
    """After an answer ground is drawn anew, a goal moves, the squad grows older: new answers."""
    before = see_what_fits(PLACE, WISH)
    smaller = make_pitch(width_m=40.0, goals=(FULL_SIZE_GOALS,))
    drawn_anew = replace(PLACE, pitch=smaller, area=smaller.area("third-1"))
    assert see_what_fits(drawn_anew, WISH).ways[0].sizes != before.ways[0].sizes
    goals = tuple(replace(goal, y_m=goal.y_m - 9) for goal in PITCH.goals)
    moved = see_what_fits(replace(PLACE, pitch=replace(PITCH, goals=goals)), WISH)
    assert moved.ways[0].drawing != before.ways[0].drawing
    assert see_what_fits(PLACE, replace(WISH, age=8)).cautions != before.cautions
    with speaking("de"):
        assert see_what_fits(PLACE, WISH).said != before.said
    assert len(worked_out) == 5
    assert see_what_fits(PLACE, WISH) == before


def test_no_refusal_is_remembered(worked_out: list[FitWish]) -> None:
    """Numbers that cannot be used are refused each time."""
    for _again in range(2):
        with pytest.raises(RefusedError):
            see_what_fits(PLACE, replace(WISH, players=0))
    assert len(worked_out) == 2


def test_answers_take_no_more_than_they_may() -> None:
    """Those longest not asked for go first; one that is asked for stays."""
    answers = Answers(most_bytes=2_000)
    texts = {str(n): f"{n} ".join(str(m * n % 9973) for m in range(90)) for n in range(1, 40)}
    for key, text in texts.items():
        assert answers.get_or_make(key, lambda text=text: text) == text  # type: ignore[misc]
        assert answers.get("1") == texts["1"]
        assert answers.taken_bytes <= 2_000
    assert answers.get("2") is None
    assert answers.get("39") == texts["39"]
    answers.forget()
    assert (answers.get("39"), answers.taken_bytes) == (None, 0)


def test_what_is_too_large_is_answered_and_not_kept() -> None:
    """An answer that would not fit takes the place of others, and goes itself."""
    answers = Answers(most_bytes=10)
    assert answers.get_or_make("long", lambda: "long" * 20 + "est") == "long" * 20 + "est"
    assert answers.taken_bytes == 0


def test_threads_share_answers() -> None:
    """Many threads asking for and pushing out the same answers get the right ones."""
    answers = Answers(most_bytes=600)

    def ask(turn: int) -> bool:
        key = str(turn % 37)
        return answers.get_or_make(key, lambda: key * 30) == key * 30

    with ThreadPoolExecutor(8) as threads:
        assert all(threads.map(ask, range(8_000)))
    assert 0 < answers.taken_bytes <= 600
    assert answers.taken_bytes == sum(map(len, answers._packed.values()))
