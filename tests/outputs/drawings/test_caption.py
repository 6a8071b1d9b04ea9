"""What a shared picture says above its drawing: who, when, where, whose; nothing over its edge."""

from __future__ import annotations

from dataclasses import replace

import pytest

from clubplanner.domain.club.settings import ClubSettings
from clubplanner.outputs.drawings.caption import Caption, with_caption
from clubplanner.outputs.drawings.lettering import LEAST
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from clubplanner.services.showing.ground.plans import caption_of, plan_for_squad
from tests.builders import LONDON, make_booking, make_pitch, make_venue
from tests.outputs.clear_drawings import faults_of, least_letters
from tests.outputs.example_drawings import read_drawing

PITCH = make_pitch()
PLAN = draw_ground_plan(plan_for_squad(PITCH, make_booking(area=PITCH.area("third-3")), [], LONDON))
CLUB = ClubSettings("Alderby Rovers", "Europe/London")
CAPTION = Caption(
    who="U12 Kestrels",
    times="18:00–19:15",
    day="Wednesday 25 November 2026",
    where="Far third, Top pitch, Marsh Lane",
    club="Alderby Rovers",
)


def test_a_picture_says_who_when_where_and_whose() -> None:
    """Squad, date, time, part, pitch, venue and club stand above the whole drawing."""
    plain, drawing = read_drawing(PLAN), read_drawing(with_caption(PLAN, CAPTION))
    assert drawing.words()[:5] == [
        "Alderby Rovers",
        "U12 Kestrels",
        "Far third, Top pitch, Marsh Lane",
        "18:00–19:15",
        "Wednesday 25 November 2026",
    ]
    assert drawing.words()[5:] == plain.words()
    assert drawing.width == plain.width
    above = drawing.height - plain.height
    assert all(text.box[3] < above for text in drawing.texts[:5])
    assert faults_of(with_caption(PLAN, CAPTION)) == []


@pytest.mark.parametrize(
    "changes",
    [
        {"who": "Tarnholt and District Walking Football Fellowship, Second Company " * 3},
        {"day": "Donnerstag, der fünfundzwanzigste November zweitausendsechsundzwanzig"},
        {"where": "W" * 200, "club": "M" * 200},
        {"state": "Cancelled: the pitch is under water, and so is the car park. " * 4},
        {"who": "", "where": "", "club": "", "times": "", "day": ""},
        {"who": "<script> & ]]> \x00"},
    ],
)
def test_long_and_odd_words_keep_their_place(changes: dict[str, str]) -> None:
    """Whatever a club writes stays on the picture, apart, and large enough to be read."""
    drawn = with_caption(PLAN, replace(CAPTION, **changes))
    assert faults_of(drawn) == []
    assert least_letters(drawn) * 360 >= LEAST


def test_the_state_of_a_session_is_told() -> None:
    """A session that is off says so above the drawing."""
    drawn = with_caption(PLAN, replace(CAPTION, state="Cancelled by the coach."))
    assert "Cancelled by the coach." in read_drawing(drawn).words()


def test_only_a_whole_drawing_has_a_caption() -> None:
    """Anything else is a fault of whoever calls."""
    with pytest.raises(ValueError, match="whole drawing"):
        with_caption("<g></g>", CAPTION)


def test_a_booking_becomes_a_caption() -> None:
    """The date is the club's own, the part is left out where all of the pitch is taken."""
    place = (make_venue(), PITCH)
    third = caption_of(make_booking(area=PITCH.area("third-3")), place, CLUB)
    assert (third.who, third.times) == ("U12 Kestrels", "18:00–19:15")
    assert third.day == "Wednesday 25 November 2026"
    assert third.where == f"{PITCH.area('third-3').name}, Top pitch, Marsh Lane"
    assert third.club == "Alderby Rovers"
    whole = caption_of(make_booking(area=PITCH.area("whole")), place, CLUB)
    assert whole.where == "Top pitch, Marsh Lane"
