"""From a plan to a pitch: cuts, markings, drawn areas, goals."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING, Any

import pytest
import shapely
from hypothesis import given, settings
from shapely import Polygon

from clubplanner.domain.ground.grounds import Goal, GoalKind
from clubplanner.domain.ground.pitch_from_plan import build_pitch
from clubplanner.domain.ground.plans import CUTS, GoalPlan, MarkingPlan, PitchPlan, PlanError
from clubplanner.geometry.shapes import interior_overlap_m2, largest_part, rectangle
from tests.builders import LEVEL_FRAME, make_pitch
from tests.strategies import plans

if TYPE_CHECKING:
    from clubplanner.geometry.frame import Frame

SMALL_GOALS = GoalPlan("both ends", 3.66, 1.83, GoalKind.PORTABLE)
LOCAL_NAMES = {"west": "Clubhouse end", "east": "Road end", "south": "Hedge side"}
HALL = Polygon([(0, 0), (40, 0), (40, 12), (22, 12), (22, 25), (0, 25)])


@settings(max_examples=30)
@given(plan=plans())
def test_areas_of_any_plan_clash_exactly_when_they_share_ground(plan: PitchPlan) -> None:
    """Cells meet where ground is shared; every cut covers the pitch; keys are one of a kind."""
    try:
        pitch = build_pitch(plan)
    except PlanError as fault:
        if "at most 63" not in str(fault):
            raise
        return
    for one, other in combinations(pitch.areas, 2):
        shared = shapely.intersection(one.polygon, other.polygon)
        if one.cells & other.cells:
            assert shared.area > 0.0
        else:
            assert largest_part(shared) is None  # nothing, or a sliver
    assert len({area.key for area in pitch.areas}) == len(pitch.areas)
    for cut in plan.cuts:
        parts = [area for area in pitch.areas if area.cut == cut]
        assert len(parts) == CUTS[cut]
        assert sum(part.twelfths or 0 for part in parts) == 12
        assert sum(part.area_m2 for part in parts) == pytest.approx(pitch.polygon.area)


def test_every_cut_gives_its_areas_in_order() -> None:
    """The whole comes first, then each cut from the start of the pitch."""
    keys = [area.key for area in make_pitch().areas]
    assert keys == [
        "whole",
        *(f"half-{n}" for n in (1, 2)),
        *(f"third-{n}" for n in (1, 2, 3)),
        *(f"quarter-{n}" for n in (1, 2, 3, 4)),
        *(f"corner-{n}" for n in (1, 2, 3, 4)),
    ]


def test_areas_are_named_by_where_to_stand() -> None:
    """Local names of the ends run through halves, thirds, quarters and corners."""
    names = [area.name for area in make_pitch(frame=LEVEL_FRAME, edge_names=LOCAL_NAMES).areas]
    assert names == [
        "Whole of Top pitch",
        "Clubhouse half",
        "Road half",
        "Clubhouse third",
        "Middle third",
        "Road third",
        "Clubhouse quarter",
        "Inner clubhouse quarter",
        "Inner road quarter",
        "Road quarter",
        "Clubhouse corner, hedge side",
        "Clubhouse corner, north side",
        "Road corner, hedge side",
        "Road corner, north side",
    ]


def test_goals_stand_in_the_middle_of_their_edges() -> None:
    """Both ends, a named edge, a compass point, a place: each finds its spot and direction."""
    wishes = tuple(
        GoalPlan(at, 3.0, 2.0, GoalKind.PORTABLE)
        for at in ("both ends", "Road end", "hedge side", "north", "start")
    )
    pitch = make_pitch(frame=LEVEL_FRAME, edge_names=LOCAL_NAMES, goals=wishes)
    spots = [(goal.x_m, goal.y_m, goal.along_deg) for goal in pitch.goals]
    assert spots == [
        (0, 30, 90.0),
        (100, 30, 90.0),
        (100, 30, 90.0),
        (50, 0, 0.0),
        (50, 60, 0.0),
        (0, 30, 90.0),
    ]


@pytest.mark.parametrize(
    ("frame", "message"),
    [(None, "no edge is called “Mill end”"), (LEVEL_FRAME, "“Mill end” is not a compass point")],
)
def test_a_goal_at_an_unknown_edge_is_refused(frame: Frame | None, message: str) -> None:
    """The message names the edge that is not there."""
    with pytest.raises(PlanError, match=message):
        make_pitch(frame=frame, goals=(GoalPlan("Mill end", 3, 2, GoalKind.FIXED),))


def test_traced_goals_stand_where_they_were_traced() -> None:
    """Goals come in the order: by edge, traced, of markings."""
    traced = Goal(12, 9, 30.0, 3.0, 2.0, GoalKind.PORTABLE)
    marking = MarkingPlan("Mini", 1, 40, 30, goals=SMALL_GOALS)
    pitch = make_pitch(standing_goals=(traced,), markings=(marking,))
    assert len(pitch.goals) == 5
    assert pitch.goals[2] == traced
    assert {goal.kind for goal in pitch.goals[3:]} == {GoalKind.PORTABLE}


def test_smaller_pitches_are_areas_with_goals_at_their_own_ends() -> None:
    """Two across are numbered, and their goals face across the pitch."""
    marking = MarkingPlan("Mini pitch", 2, 50, 35, goals=SMALL_GOALS)
    pitch = make_pitch(cuts=(), goals=(), markings=(marking,))
    assert [area.key for area in pitch.areas[1:]] == [
        "marking-mini-pitch-1",
        "marking-mini-pitch-2",
    ]
    assert pitch.areas[1].name == "Mini pitch 1"
    assert pitch.areas[1].twelfths is None
    assert [(goal.x_m, goal.y_m, goal.along_deg) for goal in pitch.goals] == [
        (25, 5, 0.0),
        (25, 55, 0.0),
        (75, 5, 0.0),
        (75, 55, 0.0),
    ]


def test_a_single_smaller_pitch_along_is_not_numbered() -> None:
    """It keeps its plain name, and its goals stand at the ends of its length."""
    marking = MarkingPlan("Mini", 1, 60, 40, lies_across=False, goals=SMALL_GOALS)
    pitch = make_pitch(cuts=(), goals=(), markings=(marking,))
    assert pitch.areas[1].key == "marking-mini"
    assert [goal.x_m for goal in pitch.goals] == [20, 80]


@pytest.mark.parametrize(
    ("traced", "along_deg"), [(rectangle(5, 5, 20, 40), 0.0), (rectangle(5, 5, 40, 20), 90.0)]
)
def test_a_traced_smaller_pitch_has_its_goals_at_its_shorter_sides(
    traced: Polygon, along_deg: float
) -> None:
    """Which way it lies is seen from its outline."""
    marking = MarkingPlan("Mini", traced=traced, goals=SMALL_GOALS)
    pitch = make_pitch(cuts=(), goals=(), markings=(marking,))
    assert pitch.areas[1].polygon == traced
    assert [goal.along_deg for goal in pitch.goals] == [along_deg, along_deg]


def test_a_smaller_pitch_without_goals_has_none() -> None:
    """Markings stand alone unless goals are planned."""
    assert make_pitch(goals=(), markings=(MarkingPlan("Mini", 1, 40, 30),)).goals == ()


def test_crossing_cuts_and_markings_of_an_l_shaped_hall() -> None:
    """In an L, with a pillar cut out, areas still clash exactly where they overlap."""
    hall = shapely.difference(HALL, rectangle(10, 10, 1, 1))
    pitch = make_pitch(
        polygon=hall,
        cuts=("halves", "thirds"),
        goals=(),
        markings=(MarkingPlan("Court", traced=rectangle(1, 1, 35, 8)),),
        drawn=(("Wing", rectangle(0, 13, 22, 12)),),
    )
    for one, other in combinations(pitch.areas, 2):
        shared = interior_overlap_m2(one.polygon, other.polygon)
        assert bool(one.cells & other.cells) == (shared > 0.1)
    assert not pitch.area("drawn-wing").cells & pitch.area("marking-court").cells
    assert pitch.area("whole").area_m2 == pytest.approx(HALL.area - 1)


def test_a_drawn_area_is_held_to_the_pitch() -> None:
    """What a hand drew a little over the edge is cut off; its length stays on the pitch."""
    area = make_pitch(drawn=(("Keeper corner", rectangle(-0.02, -0.02, 20, 10)),)).area(
        "drawn-keeper-corner"
    )
    assert area.polygon.bounds == (0, 0, 19.98, 9.98)
    assert area.cut == "drawn"


def test_of_a_drawn_area_over_a_notch_the_larger_part_is_kept() -> None:
    """A narrow notch in the outline does not leave an area of two parts."""
    notched = shapely.difference(rectangle(0, 0, 40, 20), rectangle(30, 19.1, 0.5, 1))
    pitch = make_pitch(
        polygon=notched, cuts=(), goals=(), drawn=(("Strip", rectangle(25, 19.2, 10, 0.8)),)
    )
    strip = pitch.area("drawn-strip").polygon
    assert isinstance(strip, Polygon)
    assert strip.bounds == (25, 19.2, 30, 20)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"cuts": ("fifths",)}, "“fifths” is not a cut; write halves, thirds, quarters, grid"),
        ({"cuts": ("halves", "halves")}, "two areas are called “Start half”"),
        ({"markings": (MarkingPlan("Big", 1, 90, 50),)}, "“Big” reaches over the edge"),
        ({"markings": (MarkingPlan("Big", 3, 80, 30),)}, "“Big 1” reaches over the edge"),
        ({"drawn": (("Far out", rectangle(90, 0, 20, 20)),)}, "“Far out” reaches over the edge"),
        ({"drawn": (("Crumb", rectangle(101, 0, 0.5, 0.5)),)}, "“Crumb” holds no ground"),
        ({"drawn": (("Line", rectangle(1, 1, 50, 0.03)),)}, "“Line” holds no ground"),
        (
            {"drawn": (("Nets", rectangle(1, 1, 5, 5)), ("nets!", rectangle(9, 9, 5, 5)))},
            "two areas are called “nets!”",
        ),
        ({"markings": (MarkingPlan("Line", traced=rectangle(1, 1, 50, 0.03)),)}, "holds no ground"),
    ],
)
def test_a_plan_that_gives_no_usable_pitch_is_refused(
    changes: dict[str, Any], message: str
) -> None:
    """The message names the part of the plan and says what to do."""
    with pytest.raises(PlanError, match=message):
        make_pitch(**changes)


def test_an_outline_that_cannot_be_cut_is_refused() -> None:
    """A grid box without ground is no quarter."""
    hall = Polygon([(0, 0), (40, 0), (40, 10), (20, 10), (20, 20), (0, 20)])
    with pytest.raises(PlanError, match="cannot be cut into grid"):
        make_pitch(polygon=hall, cuts=("grid",), goals=())


def test_too_many_crossing_cuts_are_refused() -> None:
    """Sixty-four drawn patches side by side cannot be kept apart."""
    patches = tuple(
        (f"Patch {x}-{y}", rectangle(x * 10, y * 7, 10, 7)) for x in range(8) for y in range(8)
    )
    with pytest.raises(PlanError, match="at most 63"):
        make_pitch(cuts=(), drawn=patches)


def test_a_pitch_keeps_what_its_plan_says() -> None:
    """Surface, light, obstacles, portable goals and the way in come through unchanged."""
    store = rectangle(1, 1, 3, 3)
    pitch = make_pitch(
        "Hall 2",
        surface="indoor",
        is_lit=True,
        is_indoor=True,
        obstacles=(store,),
        portable_goals=4,
        entrance=(0.0, 30.0),
    )
    assert (pitch.key, pitch.name, pitch.surface) == ("marsh-lane-hall-2", "Hall 2", "indoor")
    assert pitch.is_lit
    assert pitch.is_indoor
    assert (pitch.obstacles, pitch.portable_goals, pitch.entrance) == ((store,), 4, (0.0, 30.0))
