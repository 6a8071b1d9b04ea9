"""The fit commands, as a program reads them."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Any

import pytest
import shapely
from click.testing import CliRunner, Result
from shapely import Polygon

from clubplanner.commands.root import main
from tests.fitting.setting_out.pacing_out import Walker, box_walker

if TYPE_CHECKING:
    from pathlib import Path

L_SHAPE = "POLYGON ((0 0, 60 0, 60 30, 30 30, 30 64, 0 64, 0 0))"
SLANTED = "POLYGON ((0 0, 80 40, 60 80, -20 40, 0 0))"
TWO_PARTS = "MULTIPOLYGON (((0 0, 9 0, 9 9, 0 0)), ((20 0, 29 0, 29 9, 20 0)))"
HOLE_OUTSIDE = "POLYGON ((0 0, 9 0, 9 9, 0 9, 0 0), (5 5, 12 5, 12 7, 5 7, 5 5))"
HOLED = "POLYGON ((0 0, 60 0, 60 30, 0 30, 0 0), (20 10, 30 10, 30 20, 20 20, 20 10))"
BOW = "POLYGON ((0 0, 10 10, 10 0, 0 10, 0 0))"


def run(*words: str) -> Result:
    """Run the command line with some words."""
    return CliRunner().invoke(main, ["fit", *words])


def read(*words: str) -> Any:
    """Run it and read the JSON it prints."""
    result = run(*words, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.output)


def polygon(laid: dict[str, float]) -> Polygon:
    """Draw a rectangle from what the command says about it."""
    x, y = laid["x"], laid["y"]
    box = shapely.box(x, y, x + laid["length"], y + laid["width"])
    turned = shapely.affinity.rotate(box, laid["angle"], origin=(x, y))
    assert isinstance(turned, Polygon)
    return turned


def fault_in(answer: Any, ground: Polygon, size: tuple[float, float]) -> str | None:
    """Say what is wrong with an answer, or None."""
    shapes = [polygon(laid) for laid in answer["pieces"]]
    if len(shapes) != answer["count"] or answer["count"] > answer["bound"]:
        return "the counts disagree"
    reach = ground.buffer(2e-3, join_style="mitre")
    for number, shape in enumerate(shapes):
        laid = answer["pieces"][number]
        if sorted((laid["length"], laid["width"])) != sorted(size):
            return f"piece {number} has another size"
        if not reach.covers(shape):
            return f"piece {number} leaves the ground"
        if any(shape.intersection(other).area > 1e-2 for other in shapes[:number]):
            return f"piece {number} overlaps another"
    return None


def test_pieces_on_a_hard_rectangle() -> None:
    """Ninety-nine pieces are laid on 86 × 52, proved, inside and apart, in whole numbers."""
    answer = read("pieces", "--ground", "86x52", "--piece", "9x5")
    assert (answer["count"], answer["bound"], answer["proved"]) == (99, 99, True)
    assert fault_in(answer, shapely.box(0, 0, 86, 52), (9, 5)) is None
    assert {laid["angle"] for laid in answer["pieces"]} == {0}


@pytest.mark.parametrize("ground", ["33.3x64", "33.3X64", " 33.3 × 64 m"])
def test_pieces_with_gap_and_margin(ground: str) -> None:
    """Decimals, a gap and a margin are taken however the size is written."""
    answer = read("pieces", "--ground", ground, "--piece", "30x20", "--gap", "3", "--margin", "1.5")
    assert (answer["count"], answer["proved"]) == (2, True)
    inner = shapely.box(1.5, 1.5, 31.8, 62.5)
    assert fault_in(answer, inner, (30, 20)) is None
    one, other = (polygon(laid) for laid in answer["pieces"])
    assert one.distance(other) >= 3 - 2e-3


@pytest.mark.parametrize("outline", [L_SHAPE, SLANTED, HOLED])
def test_pieces_on_a_polygon(outline: str) -> None:
    """On an outline in well-known text pieces may stand at its own angle."""
    answer = read("pieces", "--ground", outline, "--piece", "15x10")
    ground = shapely.from_wkt(outline)
    assert isinstance(ground, Polygon)
    assert answer["count"] >= 8
    assert fault_in(answer, ground, (15, 10)) is None


def test_pieces_in_words() -> None:
    """Without JSON the answer is a sentence and a line for each piece."""
    result = run("pieces", "--ground", "40x20", "--piece", "20x20")
    assert result.output.splitlines() == [
        "2 fit; proved, no more can.",
        "  1. 20 × 20 m at (0, 0)",
        "  2. 20 × 20 m at (20, 0)",
    ]


@pytest.mark.parametrize(
    ("ground", "count", "said"),
    [
        (
            "27.1x27.1",
            4,
            "4 fit; proved, no more can along the edges; turned pieces were not tried.",
        ),
        ("28x27", 4, "4 fit; proved, no more can along the edges; turned pieces were not tried."),
        ("20x20", 4, "4 fit; proved, no more can."),
        ("9.9x900", 0, "0 fit; proved, no more can."),
    ],
)
def test_a_proof_says_of_which_pieces_it_holds(ground: str, count: int, said: str) -> None:
    """Turned pieces are among what is proved only where the area or the width rules them out.

    Source: F. Göbel, Geometrical packing and covering problems, 1979: five unit squares fit a
    square of side 2 + 1/√2 = 2.707…, one of them at 45° (from memory; laid in the test below).
    """
    answer = read("pieces", "--ground", ground, "--piece", "10x10")
    is_any = "turned" not in said
    assert (answer["count"], answer["bound"], answer["proved"]) == (count, count, True)
    assert answer["bound_for"] == ("any layout" if is_any else "pieces along the edges")
    assert run("pieces", "--ground", ground, "--piece", "10x10").output.splitlines()[0] == said


def test_sessions_best_first() -> None:
    """Fourteen with a goalkeeper play two games of three a side, one of them with one more."""
    words = ("--ground", "33.3x64", "--players", "14", "--goalkeepers", "1", "--goals", "2")
    best = read("sessions", *words, "--age", "13", "--size", "30x20")["ways"][0]
    assert [game["players"] for game in best["games"]] == [[4, 3], [3, 3]]
    assert (best["extras"], best["waiting"], best["turns"]) == (1, 0, [])
    assert best["extra_role"]
    assert best["m2_per_player"] == pytest.approx(2 * 600 / 13, abs=0.01)
    ground = shapely.box(0, 0, 33.3, 64).buffer(2e-3, join_style="mitre")
    shapes = [polygon(game["rectangle"]) for game in best["games"]]
    assert all(ground.covers(shape) for shape in shapes)
    assert shapes[0].distance(shapes[1]) >= 3 - 2e-3
    ends = [end for game in best["games"] for end in game["goals"]]
    assert [end["kind"] for end in ends].count("portable goal") == 2
    assert sum(end["goalkeeper"] for end in ends) == 1
    assert sum(game["goalkeepers"] for game in best["games"]) == 1
    for game, shape in zip(best["games"], shapes, strict=True):
        spots = [shapely.Point(end["x"], end["y"]) for end in game["goals"]]
        assert all(shape.exterior.distance(spot) < 1e-5 for spot in spots)
        assert spots[0].distance(spots[1]) == pytest.approx(30, abs=1e-5)
    assert [item["side"] for item in best["published_m2"]] == [3, 4]
    assert all(item["least"] < best["m2_per_player"] for item in best["published_m2"])


def test_sessions_tell_what_changes() -> None:
    """A player more or fewer, a goalkeeper more, and another ground, each in sentences."""
    words = ("--ground", "50x64", "--players", "14", "--goalkeepers", "1")
    changes = read("sessions", *words, "--instead", "33.3x64")["changes"]
    assert [change["occasion"] for change in changes] == [
        "One player fewer",
        "One player more",
        "Two goalkeepers among them",
        "On 33.3x64",
    ]
    assert all(change["lines"] for change in changes)
    assert "One player fewer: Two games of 3 v 3, instead of" in run("sessions", *words).output


def test_sessions_with_small_target_goals() -> None:
    """Small target goals stand at ends that nobody keeps."""
    words = ("--ground", "33.3x64", "--players", "14", "--goalkeepers", "1")
    best = read("sessions", *words, "--goals", "1", "--target-goals", "3")["ways"][0]
    ends = [(end["kind"], end["goalkeeper"]) for game in best["games"] for end in game["goals"]]
    assert sorted(ends) == [("portable goal", True), *[("small target goal", False)] * 3]


def test_sessions_that_wait_have_turns() -> None:
    """A way in which sides wait says how many do and whose turn it is."""
    ways = read("sessions", "--ground", "30x20", "--players", "9")["ways"]
    waiting = [way for way in ways if way["waiting"]]
    assert waiting
    assert all(way["turns"] for way in waiting)
    for way in waiting:
        turns = way["rotation"]
        plays = [sum(n in pair for turn in turns["turns"] for pair in turn) for n in range(1, 10)]
        assert set(plays[: turns["sides"]]) == {turns["plays_minutes"] / turns["minutes_a_turn"]}
        rests = len(turns["turns"]) * turns["minutes_a_turn"] - turns["plays_minutes"]
        assert turns["rests_minutes"] == rests
    assert all(way["rotation"] is None for way in ways if not way["waiting"])
    assert [way["waiting"] for way in ways] == sorted(way["waiting"] for way in ways)


def test_sessions_tell_spare_ground() -> None:
    """Beside the games of each way the largest spare rectangle is told, clear of them."""
    ways = read("sessions", "--ground", "50x64", "--players", "8", "--size", "30x20")["ways"]
    spares = [(way, polygon(way["spare"])) for way in ways if way["spare"]]
    assert spares
    for way, spare in spares:
        assert shapely.box(0, 0, 50, 64).buffer(2e-3).covers(spare)
        assert all(polygon(game["rectangle"]).distance(spare) >= 2.99 for game in way["games"])


def test_sessions_with_a_table_of_own_sizes(tmp_path: Path) -> None:
    """The sizes of the age group are told with their source, the club's own first."""
    table = tmp_path / "sizes.csv"
    table.write_text("code,players_a_side,age_from,age_to,length_m,width_m\nours,7,13,14,45,30\n")
    words = ("sessions", "--ground", "50x64", "--players", "14", "--age", "13")
    answer = read(*words, "--sizes", str(table))
    assert (answer["formats"][0]["code"], answer["formats"][0]["fits"]) == ("ours", True)
    assert {"ours", "5v5"} <= set(answer["formats_that_fit"])
    assert answer["sports_that_fit"]["handball"] == ["handball"]
    without = read(*words)
    assert without["formats"][0]["body"] == "The FA"
    assert all(game["source"] and game["standing"] for game in without["formats"])
    assert (
        "our club, ours, 7 a side: 45 × 30 m (49 × 33 yd); fits here. Source: the club's"
        in run(*words, "--sizes", str(table)).output
    )


def test_a_table_that_cannot_be_used(tmp_path: Path) -> None:
    """A missing table, or one with faults, is told with exit code 2."""
    table = tmp_path / "sizes.csv"
    words = ("sessions", "--ground", "50x64", "--players", "14", "--sizes", str(table))
    missing = run(*words)
    assert (missing.exit_code, "cannot be read" in missing.output) == (2, True)
    table.write_text("code,players_a_side,length_m,width_m\nours,x,45,0\n")
    faulty = run(*words)
    assert faulty.exit_code == 2
    assert "sizes.csv, row 2, column players_a_side" in faulty.output
    assert "sizes.csv, row 2, column width_m" in faulty.output


def test_sessions_keep_clear_of_edges() -> None:
    """With a margin no game comes nearer to an edge, and each way says what is clear."""
    words = ("--ground", "50x64", "--players", "12", "--margin", "3")
    outline = shapely.box(0, 0, 50, 64).exterior
    for way in read("sessions", *words)["ways"]:
        nearest = min(outline.distance(polygon(game["rectangle"])) for game in way["games"])
        assert nearest >= 3 - 0.011
        assert way["clear_metres"] == pytest.approx(nearest, abs=0.01)
    assert "Fits with 3 m clear all round." in run("sessions", *words).output
    without = run("sessions", "--ground", "50x64", "--players", "12").output
    assert "Fits to the line: no clear ground is kept round it." in without


def test_sessions_keep_clear_of_neighbours() -> None:
    """Metres are kept from grounds on which others are; as published where none are given."""
    beside = "POLYGON ((50 0, 80 0, 80 64, 50 64, 50 0))"
    words = ("--ground", "50x64", "--players", "12", "--neighbours", beside)
    neighbour = shapely.from_wkt(beside)
    for kept, given in ((3.0, ()), (6.0, ("--margin", "6"))):
        for way in read("sessions", *words, *given)["ways"]:
            shapes = [polygon(game["rectangle"]) for game in way["games"]]
            assert min(shape.distance(neighbour) for shape in shapes) >= kept - 0.011
    lines = read("sessions", *words)["ways"]
    assert min(shape["rectangle"]["x"] for way in lines for shape in way["games"]) < 3, (
        "edges are free where only neighbours are told"
    )


def test_sessions_of_a_season() -> None:
    """The date tells which form of the game an age group plays."""
    words = ("--ground", "50x64", "--players", "8", "--age", "7")
    for day, code, most in (("2026-06-30", "5v5", 100.4), ("2026-07-01", "3v3", 50.1)):
        answer = read("sessions", *words, "--on", day)
        assert answer["formats"][0]["code"] == code
        assert all(way["m2_per_player"] <= most * 1.01 for way in answer["ways"])


def test_sessions_in_words() -> None:
    """Without JSON each way has a number and a title; where nothing fits it is said."""
    assert run("sessions", "--ground", "33.3x64", "--players", "12").output.startswith("1. ")
    assert "No game fits" in run("sessions", "--ground", "2x2", "--players", "12").output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        # Owen, Twist and Ford 2004, Insight 7(2) 50-53: 5 × 10 m for 1 v 1, 25 m² each.
        (
            ("33x64", "--players", "14", "--size", "1x1"),
            "1 × 1 m is too small for a game. The smallest",
        ),
        (("33x18", "--players", "14", "--size", "30x20"), "No game of 30 × 20 m for so many"),
        (("3x3", "--players", "14"), "too small or too narrow. The smallest published"),
        (("33x18", "--players", "60"), "In 4 groups that use it in turn, 15 players at a time"),
    ],
)
def test_sessions_without_a_game_say_why(words: tuple[str, ...], said: str) -> None:
    """Where no game is to be had it is said why, or in how many groups there is one."""
    result = run("sessions", "--ground", *words)
    assert result.exit_code == 0
    assert said in result.output
    answer = read("sessions", "--ground", *words)
    assert answer["ways"] == []
    assert said in answer["no_game"]


@pytest.mark.parametrize(
    ("players", "title"),
    [
        ("1", "Work on the ball, alone"),
        ("2", "One game of 1 v 1"),
        ("3", "One game of 2 v 1"),
        ("60", "Five games of 3 v 3, ten sides wait in turn"),
    ],
)
def test_sessions_for_very_few_and_very_many(players: str, title: str) -> None:
    """One player, two or three, and sixty each get something to do, in whole sentences."""
    answer = read("sessions", "--ground", "33x64", "--players", players)
    assert answer["ways"][0]["title"] == title
    assert answer["no_game"] is None
    told = [
        line.strip()
        for line in run("sessions", "--ground", "33x64", "--players", players).output.splitlines()
    ]
    assert not {".", ""} & set(told)
    assert not any("0.0 × 0.0" in line for line in told)


def test_largest() -> None:
    """The largest rectangle of an L is its upright or its foot; a shape can be asked for."""
    found = read("largest", "--ground", L_SHAPE)
    assert found["area"] == pytest.approx(30 * 64, abs=1)
    shaped = read("largest", "--ground", L_SHAPE, "--aspect", "1.5")
    assert shaped["length"] / shaped["width"] == pytest.approx(1.5)
    assert shaped["area"] == pytest.approx(45 * 30, abs=1)
    inner = read("largest", "--ground", "40x20", "--margin", "2")
    assert (inner["length"], inner["width"]) == pytest.approx((36, 16))
    assert read("largest", "--ground", "4x4", "--margin", "3")["area"] == 0


PIECES = ("pieces", "--ground", "86x52", "--piece", "9x5")
SESSIONS = ("sessions", "--ground", "33.3x64")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("pieces", "--ground", "86", "--piece", "9x5"), "ground: Give length and width"),
        (("pieces", "--ground", "-86x52", "--piece", "9x5"), "ground: Give length and width"),
        (("pieces", "--ground", "86x52", "--piece", "0x5"), "piece: Give lengths of more"),
        (("pieces", "--ground", "nanxinf", "--piece", "9x5"), "two numbers in metres"),
        (("pieces", "--ground", "86x52", "--piece", "0.01x0.01"), "More than 20000"),
        (("pieces", "--ground", "9000x52", "--piece", "9x5"), "at most 2000 m"),
        ((*PIECES, "--gap", "nan"), "gap: Give metres, 0 or more, not nan"),
        ((*PIECES, "--gap=-1", "--margin=inf"), "margin: Give metres, 0 or more, not inf"),
        ((*PIECES, "--gap", "wide"), "Write --gap as a number"),
        (("pieces", "--ground", BOW, "--piece", "3x2"), "without crossings"),
        (("pieces", "--ground", "POLYGON ((0 0, 1", "--piece", "3x2"), "no polygon"),
        (("pieces", "--ground", "POLYGON EMPTY", "--piece", "3x2"), "not empty"),
        (("pieces", "--ground", "POLYGON ((0 0, nan 0, 9 9, 0 0))", "--piece", "3x2"), "corner"),
        (("pieces", "--ground", "POLYGON ((0 0, 1e99 0, 9 9, 0 0))", "--piece", "3x2"), "1e+99 m"),
        (("pieces", "--ground", "POLYGON ((0 0, 9 0, 9 9, 0 9))", "--piece", "3x2"), "no polygon"),
        (("pieces", "--ground", TWO_PARTS, "--piece", "3x2"), "one polygon"),
        (("pieces", "--ground", HOLE_OUTSIDE, "--piece", "3x2"), "without crossings"),
        (("sessions", "--ground", "2000x2000", "--players", "9", "--size", "8x8"), "More than"),
        ((*SESSIONS, "--players", "5", "--instead", BOW), "without crossings"),
        (("pieces", "--ground", "POINT (1 1)", "--piece", "3x2"), "one polygon"),
        (("largest", "--ground", BOW), "without crossings"),
        (("largest", "--ground", "40x20", "--aspect", "0"), "aspect"),
        (("largest", "--ground", "40x20", "--margin", "-2"), "margin"),
        ((*SESSIONS, "--players", "0"), "Give 1 to 60 players, not 0"),
        ((*SESSIONS, "--players", "1000000"), "not 1000000"),
        ((*SESSIONS, "--players", "9" * 400), "Give 1 to 60 players"),
        ((*SESSIONS, "--players", "5", "--goalkeepers", "6"), "6 goalkeepers"),
        ((*SESSIONS, "--players", "5", "--goalkeepers", "-1"), "goalkeepers"),
        ((*SESSIONS, "--players", "5", "--goals", "-1"), "portable goals"),
        ((*SESSIONS, "--players", "5", "--target-goals", "-1"), "small target goals"),
        ((*SESSIONS, "--players", "5", "--age", "-3"), "age"),
        ((*SESSIONS, "--players", "5", "--size", "30"), "size: Give length and width"),
        ((*SESSIONS, "--players", "five"), "Write --players as a whole number"),
        (SESSIONS, "Write --players as well, as a whole number"),
        ((*SESSIONS, "--players", "5", "--margin", "-1"), "margin: Give metres, 0 or more"),
        ((*SESSIONS, "--players", "5", "--neighbours", BOW), "neighbours: The outline cannot"),
        ((*SESSIONS, "--players", "5", "--on", "soon"), "--on"),
    ],
)
def test_what_cannot_be_meant(words: tuple[str, ...], message: str) -> None:
    """A question that cannot be meant is answered with what to write instead, and exit code 2."""
    result = run(*words)
    assert result.exit_code == 2
    assert message in result.output
    assert "Traceback" not in result.output


def test_faults_as_json() -> None:
    """A program gets every fault with its place and a stable code."""
    result = run(*PIECES, "--gap=-1", "--margin=-2", "--json")
    assert result.exit_code == 2
    problems = json.loads(result.output)["problems"]
    assert [(item["where"], item["code"]) for item in problems] == [
        ("gap", "not-a-distance"),
        ("margin", "not-a-distance"),
    ]


def plain_walker(length: float, width: float) -> Walker:
    """Stand on a ground given by its size, with the names that the command uses."""
    names = ("left end", "right end", "lower side", "upper side")
    return box_walker((0, 0, length, width), names)


def test_sessions_tell_where_each_cone_goes() -> None:
    """Under each way stand its cones by number; their words lead to the corners of its games."""
    words = ("--ground", "33.3x64", "--players", "14", "--goals", "1", "--target-goals", "2")
    answer = read("sessions", *words, "--age", "13", "--entrance", "30,-2")
    for way in answer["ways"]:
        cones = way["set_out"]["cones"]
        assert [cone["number"] for cone in cones] == list(range(1, len(cones) + 1))
        walker = plain_walker(33.3, 64)
        spots = [walker.find(cone["words"]) for cone in cones]
        for cone, spot in zip(cones, spots, strict=True):
            assert math.dist(spot, (cone["x"], cone["y"])) <= 0.1
        for game in way["games"]:
            for corner in polygon(game["rectangle"]).exterior.coords[:-1]:
                assert min(math.dist(corner, spot) for spot in spots) <= 0.1
    printed = run("sessions", *words, "--age", "13", "--entrance", "30,-2").output
    for cone in answer["ways"][0]["set_out"]["cones"]:
        assert f"     {cone['number']}. {cone['words']}" in printed.splitlines()
    assert "The numbers follow your walk from the way in." in printed


@pytest.mark.parametrize(
    "words",
    [("pieces", "--ground", "40x20", "--piece", "9x5"), ("largest", "--ground", "40x20")],
)
def test_pieces_and_the_largest_tell_their_corners_when_asked(words: tuple[str, ...]) -> None:
    """With --set-out the corners are numbered cones; without it nothing is added."""
    assert "set_out" not in read(*words)
    assert "Set it out" not in run(*words).output
    cones = read(*words, "--set-out")["set_out"]["cones"]
    walker = plain_walker(40, 20)
    for cone in cones:
        assert math.dist(walker.find(cone["words"]), (cone["x"], cone["y"])) <= 0.1
    assert f"  1. {cones[0]['words']}" in run(*words, "--set-out").output.splitlines()
    assert cones[0]["number"] == 1


def test_no_rectangle_has_no_cones() -> None:
    """Where nothing fits there is nothing to set out."""
    sliver = "POLYGON ((0 0, 50 0, 50 0.0004, 0 0))"
    assert "Set it out" not in run("largest", "--ground", sliver, "--set-out").output


@pytest.mark.parametrize("entrance", ["gate", "1;2", "1,2,3", ","])
def test_an_entrance_is_two_numbers(entrance: str) -> None:
    """An entrance that is no spot is refused with how to write one."""
    words = ("sessions", "--ground", "33x64", "--players", "8", "--entrance", entrance)
    result = run(*words)
    assert result.exit_code == 2
    assert "as 12,0 or 12.5,-3" in result.output
