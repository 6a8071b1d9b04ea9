"""The way in, in whole sentences: measured, past whoever is there, in both languages."""

from __future__ import annotations

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.ground.orientation.measures import Measure, measuring
from clubplanner.geometry.frame import Frame
from clubplanner.language import speaking
from clubplanner.services.showing.ground.neighbours import neighbours_of
from clubplanner.services.showing.ground.way_in_words import way_in_short, way_in_words
from tests.builders import LONDON, make_booking, make_pitch

NAMES = {
    "start": "Clubhouse end",
    "far": "Road end",
    "left": "Car park side",
    "right": "Hedge side",
}


def say(
    own: str,
    entrance: tuple[float, float] | None,
    *others: tuple[str, str],
    measure: Measure = Measure.METRES,
    purpose: Purpose = Purpose.TRAINING,
    frame: Frame | None = None,
) -> str:
    """Say the way on a pitch of 100 × 60 m, past others: holder and area."""
    names = NAMES if frame is None else {}
    pitch = make_pitch(entrance=entrance, edge_names=names, frame=frame)
    booking = make_booking(1, area=pitch.area(own))
    there = [
        make_booking(n + 2, area=pitch.area(key), holder=holder, purpose=purpose)
        for n, (holder, key) in enumerate(others)
    ]
    with measuring(measure):
        neighbours = neighbours_of(pitch, booking, there)
        return way_in_words(pitch, pitch.area(own), neighbours, LONDON).text


def test_the_way_is_told_as_one_walks_it() -> None:
    """Where one comes in, which hand, along what, past whom until when, how far, at what line."""
    assert say("third-3", (0.0, 0.0), ("U13 Merlins", "third-1")) == (
        "From the way in (corner of clubhouse end and hedge side), looking onto the pitch, go "
        "right along the hedge side, past Clubhouse third (U13 Merlins until 19:15), then Middle "
        "third (free); yours begins 67 m on, at the line between thirds. It goes on for 33 m "
        "along the edge, and 60 m onto the pitch."
    )


def test_a_corner_on_the_way_is_told() -> None:
    """One goes to the corner and turns there; nobody is named where nobody is."""
    assert say("half-2", (0.0, 20.0)) == (
        "From the way in (clubhouse end), looking onto the pitch, go right along the clubhouse "
        "end, 20 m to the corner, past Clubhouse half. At the corner turn left, along the hedge "
        "side; yours begins 50 m on, at the halfway line. It goes on for 50 m along the edge, "
        "and 60 m onto the pitch."
    )


@pytest.mark.parametrize(
    ("measure", "words"),
    [
        (Measure.METRES, "begins 67 m on"),
        (Measure.YARDS, "begins 73 yd on"),
        (Measure.PACES, "begins 74 paces on"),
        (Measure.BOTH, "begins 67 m (73 yd) on"),
    ],
)
def test_distances_are_told_in_the_chosen_measure(measure: Measure, words: str) -> None:
    """66.667 m are 72.9 yards of 0.9144 m, or 74 paces of 0.9 m."""
    assert words in say("third-3", (0.0, 0.0), measure=measure)


@pytest.mark.parametrize(
    ("own", "entrance", "begins"),
    [
        ("half-1", (0.0, 20.0), "The way in (clubhouse end): yours begins right there."),
        ("whole", (0.0, 20.0), "The way in (clubhouse end): the whole pitch is yours."),
        ("third-1", None, "The corner of clubhouse end and hedge side: yours begins right there."),
        ("half-1", (-20.0, 20.0), "From the way in to the edge of the pitch it is 20 m."),
        ("third-2", None, "From the corner of clubhouse end and hedge side, looking onto"),
    ],
)
def test_where_the_way_begins(own: str, entrance: tuple[float, float] | None, begins: str) -> None:
    """One's own part first, an entrance off the pitch and none at all have words of their own."""
    assert say(own, entrance).startswith(begins)


@pytest.mark.parametrize(
    ("entrance", "words"),
    [
        ((0.0, 20.0), "it goes 40 m to the left, 20 m to the right and 33 m ahead."),
        ((0.0, 0.0), "it goes 60 m to the left and 33 m to the right."),
        ((0.0, 60.0), "it goes 33 m to the left and 60 m to the right."),
        ((33.3, 0.0), "it lies to the left: 33 m along the edge and 60 m ahead."),
        ((33.3, 60.0), "it lies to the right: 33 m along the edge and 60 m ahead."),
    ],
)
def test_how_far_ones_own_part_goes(entrance: tuple[float, float], words: str) -> None:
    """From where one comes in onto one's own third, to both hands and ahead."""
    assert say("third-1", entrance).endswith(words)


def test_closed_ground_is_passed_as_closed() -> None:
    """Nobody is there, but it is not free."""
    words = say("third-3", (0.0, 0.0), ("Mud", "third-1"), purpose=Purpose.CLOSED)
    assert "past Clubhouse third (closed), then Middle third (free)" in words


def test_the_compass_is_told_where_it_is_known() -> None:
    """The first side has the compass point it leads to, for whoever has one at hand."""
    words = say("third-3", (0.0, 0.0), frame=Frame(-1.2, 52.9, 0.0))
    assert "go right along the east side (north), past South third" in words


def test_the_german_is_as_whole() -> None:
    """Sentences, hands and lines are told in German."""
    with speaking("de"):
        words = say("third-3", (0.0, 20.0), ("U13 Merlins", "third-1"))
    assert words == (
        "Ab Eingang (Clubhouse end) gehen Sie, mit Blick auf den Platz, nach rechts, Clubhouse "
        "end entlang, 20 m bis zur Ecke, vorbei an: Clubhouse third (U13 Merlins bis 19:15). An "
        "der Ecke gehen Sie nach links, Hedge side entlang, vorbei an: Middle third (frei); Ihr "
        "Teil beginnt nach 67 m, an der Linie zwischen den Dritteln. Er reicht 33 m weiter am "
        "Rand entlang und 60 m in den Platz hinein."
    )


def test_kept_words_name_nobody() -> None:
    """What calendars keep changes with the ground, not with who is next door."""
    pitch = make_pitch(entrance=(0.0, 0.0), edge_names=NAMES)
    with measuring(Measure.METRES):
        assert way_in_short(pitch, pitch.area("third-3")) == (
            "From the way in (corner of clubhouse end and hedge side), looking onto the pitch, "
            "go right along the hedge side, past Clubhouse third, then Middle third; yours "
            "begins 67 m on, at the line between thirds."
        )
