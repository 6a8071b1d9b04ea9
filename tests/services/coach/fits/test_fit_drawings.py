"""Drawings of ways to play: anchored in the pitch, with the numbers of the set-out list."""

from __future__ import annotations

import gzip
import math
from collections import Counter
from typing import TYPE_CHECKING

import pytest
import shapely

from clubplanner.domain.ground.grounds import GoalKind
from clubplanner.domain.ground.plans import GoalPlan
from clubplanner.outputs.drawings.lettering import LEAST
from clubplanner.outputs.drawings.plans.plan_areas import GOAL_STROKE, OWN_STROKE, PIECE_STROKE
from clubplanner.services.coach.fits.fit_places import FitPlace, FitWish, has_halfway_line
from clubplanner.services.coach.fits.session_sizes import see_what_fits
from tests.builders import A_WEDNESDAY, FULL_SIZE_GOALS, LEVEL_FRAME, make_pitch
from tests.outputs.clear_drawings import faults_of
from tests.outputs.example_drawings import read_drawing

if TYPE_CHECKING:
    from clubplanner.domain.ground.grounds import Pitch
    from clubplanner.fitting import SetOut
    from clubplanner.services.coach.fits.session_sizes import FitShown
    from tests.outputs.example_drawings import Drawing

NAMES = {"start": "Mill end", "far": "Church end", "right": "Road side", "left": "River side"}
PITCH = make_pitch(
    length_m=100, width_m=64, edge_names=NAMES, portable_goals=2, entrance=(30.0, -1.0)
)
REACH = 24.0
"""Units from a cone within which its number stands, where no line leads to it."""


def fits(
    area: str, players: int = 14, *, pitch: Pitch = PITCH, size: tuple[float, float] | None = None
) -> FitShown:
    """Ask what fits on a part of a pitch of 100 × 64 m."""
    length, width = size or (None, None)
    wish = FitWish(players, 1, length, width, 13, target_goals=2)
    return see_what_fits(FitPlace(pitch, pitch.area(area), A_WEDNESDAY), wish)


def shown(fit: FitShown) -> list[tuple[str, SetOut]]:
    """List drawings with the lists that stand beneath them."""
    pairs = [(way.drawing, way.set_out) for way in fit.ways if way.drawing]
    placed = (fit.largest, fit.practice)
    return pairs + [(one.drawing, one.set_out) for one in placed if one and one.drawing]


def places_on(drawing: Drawing, area: tuple[float, float, float, float]) -> tuple[float, ...]:
    """Return where the area's left bottom corner lies on a drawing, and units a metre."""
    (border,) = [path for path in drawing.paths if path.stroke_width == OWN_STROKE]
    x0, y0, x1, y1 = border.bounds
    scale = (x1 - x0) / (area[2] - area[0])
    assert scale == pytest.approx((y1 - y0) / (area[3] - area[1]), rel=0.01)
    return x0, y1, scale


@pytest.mark.parametrize("area", ["third-1", "third-2", "half-2", "whole", "corner-3"])
def test_every_number_of_the_list_stands_at_its_cone(area: str) -> None:
    """Each cone of the list has its number on the drawing, once, right beside where it goes."""
    fit = fits(area, size=(24.0, 16.0))
    assert len(shown(fit)) >= 3
    for svg, found in shown(fit):
        drawing = read_drawing(svg)
        left, bottom, scale = places_on(drawing, PITCH.area(area).polygon.bounds)
        x0, y0, *_ = PITCH.area(area).polygon.bounds
        numbers = Counter(text.words for text in drawing.texts if text.words.isdigit())
        assert numbers == Counter(str(cone.number) for cone in found.cones)
        for cone in found.cones:
            x, y = left + (cone.x_m - x0) * scale, bottom - (cone.y_m - y0) * scale
            words = drawing.text(str(cone.number))
            away = math.dist((words.x, words.y), (x, y))
            assert away <= REACH or is_led_to(drawing, (words.x, words.y), (x, y)), cone
        assert faults_of(svg) == []


def is_led_to(drawing: Drawing, words: tuple[float, float], cone: tuple[float, float]) -> bool:
    """Tell whether a line leads from a sign to a cone."""
    lines = [
        shapely.LineString(run) for path in drawing.paths for run in path.runs if len(run) == 2
    ]
    return any(
        line.distance(shapely.Point(cone)) < 3 and line.distance(shapely.Point(words)) < 16
        for line in lines
    )


def band_of(drawing: Drawing) -> list[shapely.LineString]:
    """Return the dotted lines round the games; those of the key, at its left end, left out."""
    key = drawing.text("3 m clear")
    return [
        shapely.LineString(run)
        for path in drawing.paths
        if path.attributes.get("stroke-dasharray") == "0 4"
        for run in path.runs
        if run[0][1] < key.y - 10
    ]


def test_run_off_is_a_dotted_line_as_far_off_as_the_words_say() -> None:
    """Its dots lie 3 m from a game and never in one; the key says so."""
    fit = fits("half-2")
    checked = 0
    for way in fit.ways:
        if way.clear != "Fits with 3 m clear all round." or not way.drawing:
            continue
        drawing = read_drawing(way.drawing)
        *_, scale = places_on(drawing, PITCH.area("half-2").polygon.bounds)
        games = shapely.union_all(
            [path.polygon for path in drawing.paths if path.stroke_width == PIECE_STROKE]
        )
        band = shapely.MultiLineString(band_of(drawing))
        corners = shapely.points([point for line in band.geoms for point in line.coords])
        reach = shapely.distance(corners, games) / scale
        assert max(reach) < 3 * math.sqrt(2) + 0.1
        assert shapely.hausdorff_distance(band, games) / scale > 2.5
        assert shapely.intersection(band, shapely.buffer(games, -1)).is_empty
        checked += 1
    assert checked


def test_no_band_where_no_clear_ground_is_kept() -> None:
    """To the line by wish, and where nothing else fits, there is nothing to draw."""
    wish = FitWish(14, 1, None, None, 13, margin_m=0.0)
    fit = see_what_fits(FitPlace(PITCH, PITCH.area("third-1"), A_WEDNESDAY), wish)
    assert fit.ways[0].drawing
    for svg, _found in shown(fit):
        assert not any(words.endswith("clear") for words in read_drawing(svg).words())
        assert 'stroke-dasharray="0 4"' not in svg


@pytest.mark.parametrize("area", ["third-1", "third-2", "half-2", "whole"])
def test_a_drawing_says_where_on_the_pitch_it_is(area: str) -> None:
    """Both ends and both sides are named, an end out of view with its metres; north is shown."""
    pitch = make_pitch(length_m=100, width_m=64, frame=LEVEL_FRAME)
    for svg, _found in shown(fits(area, pitch=pitch)):
        words = " ".join(read_drawing(svg).words())
        for name in vars_of(pitch):
            assert name in words, (name, words)
        assert "N" in read_drawing(svg).words()


def vars_of(pitch: Pitch) -> tuple[str, ...]:
    """Return what the edges of a pitch are called."""
    edges = pitch.edges
    return edges.start, edges.far, edges.right, edges.left


def test_distances_on_the_drawing_are_those_of_the_list() -> None:
    """Every distance drawn is one of the list, and its line is so long at scale."""
    area = PITCH.area("half-2")
    checked = 0
    for svg, found in shown(fits("half-2")):
        drawing = read_drawing(svg)
        _left, _bottom, scale = places_on(drawing, area.polygon.bounds)
        dashed = [
            path for path in drawing.paths if path.attributes.get("stroke-dasharray") == "4 3"
        ]
        lengths = sorted(math.dist(*path.runs[0]) / scale for path in dashed)
        told = [
            text.words for text in drawing.texts if text.size == LEAST and is_length(text.words)
        ]
        metres = sorted(float(words.removesuffix(" m")) for words in told)
        metres.remove(scale_bar(drawing))
        assert lengths == pytest.approx(metres, abs=0.12)
        listed = " ".join(cone.words for cone in found.cones)
        assert all(f"{length:g} m (" in listed for length in metres)
        checked += len(metres)
    assert checked >= 3


def is_length(words: str) -> bool:
    """Tell whether words are metres alone."""
    return words.endswith(" m") and words.removesuffix(" m").replace(".", "").isdigit()


def scale_bar(drawing: Drawing) -> float:
    """Return what the scale bar says: it stands lowest of all lengths."""
    lowest = max((text for text in drawing.texts if is_length(text.words)), key=lambda one: one.y)
    return float(lowest.words.removesuffix(" m"))


def test_goals_are_drawn_where_they_are_put() -> None:
    """A goal that is carried away is no longer drawn where it stood; one that stays is."""
    standing = GoalPlan("both ends", 5.0, 2.0, GoalKind.PORTABLE)
    pitch = make_pitch(length_m=40, width_m=30, cuts=(), goals=(standing,))
    svg, found = shown(fits("whole", 8, pitch=pitch))[0]
    assert found.goals == 2
    boxes = [p for p in read_drawing(svg).paths if p.attributes.get("stroke-dasharray") == "3 2"]
    assert boxes == []
    lines = [p for p in read_drawing(svg).paths if p.stroke_width == GOAL_STROKE]
    assert len(lines) == 2


def test_a_fixed_goal_is_drawn_as_wide_as_it_is() -> None:
    """The line of a fixed goal is as long as between its posts (7.32 m, IFAB Laws, Law 1)."""
    pitch = make_pitch(length_m=100, width_m=64, goals=(FULL_SIZE_GOALS,))
    for svg, found in shown(fits("third-1", pitch=pitch))[:1]:
        assert found.cones
        drawing = read_drawing(svg)
        _left, _bottom, scale = places_on(drawing, pitch.area("third-1").polygon.bounds)
        goals = [p for p in drawing.paths if p.stroke_width == GOAL_STROKE]
        lengths = [math.dist(*p.runs[0]) / scale for p in goals]
        assert any(length == pytest.approx(7.32, abs=0.1) for length in lengths)


def test_a_halfway_line_is_paced_from_where_one_is_painted() -> None:
    """A full-size pitch between its goals has one; a hall of no known sport has none."""
    assert has_halfway_line(make_pitch(length_m=100, width_m=64))
    bare = make_pitch("Barn", length_m=23, width_m=11, goals=(), surface="indoor", is_indoor=True)
    assert not has_halfway_line(bare)


def test_areas_too_many_to_number_keep_their_own_numbers() -> None:
    """Where a list of cones would help nobody, areas are numbered and no cones are drawn."""
    practice = fits("third-1", size=(5.0, 4.0)).practice
    assert practice is not None
    assert practice.set_out.cones == ()
    assert "12" in read_drawing(practice.drawing).words()


def test_equal_areas_are_summed_up_in_words() -> None:
    """The drawing in words says equal areas once, with their number."""
    practice = fits("third-1", size=(24.0, 16.0)).practice
    assert practice is not None
    assert " × (24 × 16 m)." in practice.drawing


def test_drawings_and_lists_of_a_page_are_light() -> None:
    """All drawings and lists of one answer, compressed, leave half of a page's 25 kB."""
    for area in ("third-1", "half-1", "whole"):
        pairs = shown(fits(area, 24, size=(24.0, 16.0)))
        text = "".join(svg + "".join(found.lines) for svg, found in pairs)
        assert len(gzip.compress(text.encode(), 6)) < 12_000
