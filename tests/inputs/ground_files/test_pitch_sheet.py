"""A pitch as cells of a form, and read again."""

from __future__ import annotations

import math

import pytest
from shapely import Polygon, box

from clubplanner.domain.ground.grounds import Goal, GoalKind, Pitch
from clubplanner.domain.ground.pitch_from_plan import build_pitch
from clubplanner.domain.ground.plans import MarkingPlan, PitchPlan
from clubplanner.geometry.frame import Frame
from clubplanner.inputs.ground_files.grounds import read_grounds
from clubplanner.inputs.ground_files.pitch_sheet import read_sheet, sheet_of
from clubplanner.resources import invented_club_files

PITCHES = [
    pitch
    for path in invented_club_files()
    if path.suffix == ".geojson"
    for pitch in read_grounds(path.read_text("utf-8"), path.name).pitches
]
PLAIN = {"name": "Top", "surface": "grass", "length": "60", "width": "40"}


def _like(one: Pitch, other: Pitch) -> None:
    assert [(a.key, a.name, a.cells) for a in one.areas] == [
        (a.key, a.name, a.cells) for a in other.areas
    ]
    assert one.edges == other.edges
    assert (one.frame is None) == (other.frame is None)
    if one.frame is not None and other.frame is not None:
        assert math.hypot(*one.frame.local_from_lonlat(other.frame.lon, other.frame.lat)) < 0.01
        assert one.frame.bearing_deg == other.frame.bearing_deg
    assert one.polygon.hausdorff_distance(other.polygon) < 0.002
    assert len(one.goals) == len(other.goals)
    assert len(one.obstacles) == len(other.obstacles)


@pytest.mark.parametrize("pitch", PITCHES, ids=lambda pitch: pitch.key)
def test_every_pitch_of_the_invented_club_comes_back(pitch: Pitch) -> None:
    """Saving a form as it was shown changes nothing."""
    read = read_sheet(sheet_of(pitch), "Osier Lane")
    assert read.problems == ()
    assert read.pitch is not None
    _like(pitch, read.pitch)
    assert sheet_of(read.pitch) == sheet_of(pitch)


def test_everything_that_a_pitch_can_have_comes_back() -> None:
    """Corners, a hole, goals, a marking, a drawn area that is no rectangle, a pillar, the gate."""
    outline = Polygon(
        [(0, 0), (60, 0), (60, 25), (40, 40), (0, 40)], [[(50, 5), (52, 5), (52, 8), (50, 8)]]
    )
    pitch = build_pitch(
        PitchPlan(
            name="Top",
            venue_key="lane",
            surface="grass",
            is_lit=False,
            is_indoor=False,
            polygon=outline,
            frame=Frame(-2.63, 52.3, 37.5),
            cuts=("halves", "grid"),
            markings=(MarkingPlan("Mini", traced=box(1, 1, 31, 21)),),
            drawn=(("Corner", Polygon([(0, 0), (12, 0), (0, 10)])),),
            standing_goals=(Goal(0.0, 20.0, 90.0, 3.66, 1.83, GoalKind.PORTABLE),),
            obstacles=(box(30, 30, 32, 33), Polygon([(5, 30), (7, 30), (5, 33)])),
            portable_goals=3,
            entrance=(4.5, -1.0),
        )
    )
    read = read_sheet(sheet_of(pitch), "Lane")
    assert read.problems == ()
    assert read.pitch is not None
    _like(pitch, read.pitch)
    assert read.pitch.entrance == (4.5, -1.0)
    assert read.pitch.goals == pitch.goals


def test_numbers_are_read_as_people_write_them() -> None:
    """With a comma, with spaces."""
    read = read_sheet({**PLAIN, "length": " 60,5 ", "cut_thirds": "yes"}, "Lane")
    assert read.pitch is not None
    assert read.pitch.polygon.bounds == (0.0, 0.0, 60.5, 40.0)
    assert [area.key for area in read.pitch.areas] == ["whole", "third-1", "third-2", "third-3"]


@pytest.mark.parametrize(
    ("cells", "cell", "words"),
    [
        ({"name": ""}, "name", "fill this in"),
        ({"surface": ""}, "surface", "fill this in"),
        ({"length": "long"}, "length", "“long” will not do; enter a number from 3 to 400"),
        ({"length": ""}, "length", "enter a number from 3 to 400"),
        ({"length": "1", "width": "1"}, "length", "from 3 to 400"),
        ({"corner_1_x": "0", "corner_1_y": "0"}, "corner_1_x", "at least three corners"),
        (
            {
                f"corner_{n}_{axis}": text
                for n, pair in enumerate(["0 0", "30 30", "30 0", "0 30"], 1)
                for axis, text in zip("xy", pair.split(), strict=True)
            },
            "corner_1_x",
            "crosses itself",
        ),
        ({"goal_3_x": "100", "goal_3_y": "20"}, "name", "stands off the pitch"),
        ({"goal_3_x": "ten", "goal_3_y": "20"}, "goal_3_x", "“ten” will not do"),
        ({"goal_2_x": "0", "goal_2_y": "9", "goal_2_width": "99"}, "goal_2_width", "0.5 to 12"),
        ({"part_2_name": "Corner"}, "part_2_x", "at least three corners"),
        ({"part_2_corners": "0 0; 9 0; 0 9"}, "part_2_name", "fill this in"),
        (
            {
                "part_1_name": "Corner", "part_1_corners": "0 0; 9 0; 0 9",
                "part_4_name": "Corner", "part_4_corners": "20 0; 29 0; 20 9",
            },
            "name",
            "two areas are called",
        ),
        ({"obstacle_1_corners": "0 0; 1"}, "obstacle_1_x", "at least three corners"),
        (
            {"goal_1_x": "0", "goal_1_y": "20", "no_goals": "yes"},
            "no_goals",
            "untick this",
        ),
        ({"entrance_x": "4"}, "entrance_x", "two numbers"),
        ({"lon": "east", "lat": "52", "bearing": "0"}, "place", "in degrees"),
        ({"lon": "-2", "lat": "52"}, "bearing", "enter a number from 0 to 360"),
        ({"bearing": "20"}, "place", "say where it lies"),
        ({"portable": "many"}, "portable", "will not do; enter"),
    ],
)  # fmt: skip
def test_faults_lead_to_their_cells(cells: dict[str, str], cell: str, words: str) -> None:
    """Each says at its field what to write instead."""
    read = read_sheet({**PLAIN, **cells}, "Lane")
    assert read.pitch is None
    found = [(problem.where, problem.message.lower()) for problem in read.problems]
    assert any(where == cell and words in message for where, message in found), found


def test_too_many_pieces_are_refused() -> None:
    """Sixty-three cells are the most; a way to mend it is named."""
    strips = {
        f"part_{n}_corners": f"{n} {n}; {40 - n} {n}; {40 - n} {n + 9.5}; {n} {n + 9.5}"
        for n in range(1, 13)
    }
    names = {f"part_{n}_name": f"Strip {n}" for n in range(1, 13)}
    cuts = dict.fromkeys(("cut_halves", "cut_thirds", "cut_quarters", "cut_grid"), "yes")
    read = read_sheet({**PLAIN, **strips, **names, **cuts}, "Lane")
    assert any("63" in problem.message for problem in read.problems), read.problems
