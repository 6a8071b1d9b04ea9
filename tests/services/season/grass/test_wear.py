"""Use of grass week by week."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.ground.wear import WearLimit, WeekWear, parse_guidance
from clubplanner.domain.times.hours_typed import range_typed_until
from clubplanner.errors import MissingError, RefusedError
from clubplanner.services.evening.closures.closing import ClosureWish, close_ground
from clubplanner.services.problem.season_terms import with_grass_limits
from clubplanner.services.problem.stretch_problem import load_stretch_problem
from clubplanner.services.rows.seasons.stretches import find_stretch
from clubplanner.services.season.grass.wear import see_wear, set_limit_by_guidance, set_wear_limit
from tests.builders import A_WEDNESDAY, LONDON, NOW
from tests.small_club import HARRIERS, KESTRELS, LOW, TOP, book, find_area_id

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

MONDAY = date(2026, 11, 23)
NOON = 12 * 60


def use(store: Store) -> str:
    """Return the use of the grass pitch in the week of the Wednesday."""
    (pitch,) = see_wear(store, A_WEDNESDAY, 1)
    return pitch.weeks[0].use


def test_part_age_and_purpose_are_weighed(small: Store) -> None:
    """An hour of adults on half a pitch is half an hour; of under twelves a third."""
    assert use(small) == "0.0 h, 0.0 match equivalents"
    book(
        small,
        "Choir",
        "half-1",
        pitch_key=LOW,
        purpose=Purpose.HIRE,
        start_min=NOON,
        end_min=NOON + 60,
    )
    assert use(small) == "0.5 h, 0.3 match equivalents"
    book(small, KESTRELS, "half-2", pitch_key=LOW, start_min=NOON, end_min=NOON + 60)
    assert use(small) == "0.8 h, 0.6 match equivalents (0.3 h by the young)"
    saturday = date(2026, 11, 28)
    book(
        small,
        HARRIERS,
        "whole",
        pitch_key=LOW,
        day=saturday,
        purpose=Purpose.MATCH,
        start_min=NOON,
        end_min=NOON + 90,
    )
    assert use(small) == "1.8 h, 1.6 match equivalents (1.3 h by the young)"
    book(small, KESTRELS, "third-1")
    assert use(small).startswith("1.8 h"), "other ground and other weeks do not count"
    assert see_wear(small, MONDAY + timedelta(days=7), 1)[0].weeks[0].use.startswith("0.0 h")


def test_a_week_over_its_limit_is_told_and_drawn(small: Store) -> None:
    """States: within, near from 85 %, over; the picture says which weeks are over."""
    assert set_wear_limit(small, "low pitch", 2, None, "own measure").startswith(
        "Low pitch: at most 2"
    )
    for n, hours in enumerate((1.0, 1.8, 2.5)):
        day = A_WEDNESDAY + timedelta(weeks=n)
        book(
            small,
            "Choir",
            "whole",
            pitch_key=LOW,
            day=day,
            purpose=Purpose.HIRE,
            start_min=NOON,
            end_min=NOON + int(60 * hours),
        )
    (pitch,) = see_wear(small, A_WEDNESDAY, 3)
    assert [week.state for week in pitch.weeks] == ["within", "near", "over"]
    assert pitch.weeks[2].words == "125 % of what it bears"
    assert "is over its limit in: Mon 7 Dec to Sun 13 Dec" in pitch.drawing


def test_closed_days_and_half_load_lessen_what_it_bears(small: Store) -> None:
    """Closed from Wednesday noon to Sunday night: two of seven days are left."""
    set_wear_limit(small, LOW, 7, None, "own measure")
    during = range_typed_until(A_WEDNESDAY, NOON, date(2026, 11, 29), 24 * 60, LONDON)
    area = find_area_id(small, LOW, "whole")
    close_ground(small, ClosureWish(area, during, Condition.CLOSED, "frost"), None, NOW)
    (pitch,) = see_wear(small, A_WEDNESDAY, 1)
    assert pitch.weeks[0].words.endswith("it bears 29 % of the usual this week")
    later = range_typed_until(date(2026, 11, 30), 0, date(2026, 12, 6), 24 * 60, LONDON)
    close_ground(small, ClosureWish(area, later, Condition.HALF_LOAD, "soft"), None, NOW)
    (pitch,) = see_wear(small, date(2026, 11, 30), 1)
    assert pitch.weeks[0].words == "0 % of what it bears; it bears 50 % of the usual this week"


def test_a_half_closed_bears_half(small: Store) -> None:
    """The part that stays open counts by its size."""
    set_wear_limit(small, LOW, 7, None, "own measure")
    during = range_typed_until(MONDAY, 0, MONDAY + timedelta(days=6), 24 * 60, LONDON)
    wish = ClosureWish(find_area_id(small, LOW, "half-1"), during, Condition.CLOSED, "seeding")
    close_ground(small, wish, None, NOW)
    (pitch,) = see_wear(small, A_WEDNESDAY, 1)
    assert "it bears 50 % of the usual" in pitch.weeks[0].words


def test_nothing_allowed_and_something_booked_is_over() -> None:
    """A share is infinite where the limit of the week is nought; without a limit there is none."""
    week = WeekWear(MONDAY, 1.0, 0.0, 1.0, 0.0)
    assert week.share_of(WearLimit(3, None, "x")) == float("inf")
    assert week.share_of(WearLimit(None, None, "x")) is None
    assert WeekWear(MONDAY, 0.0, 0.0, 0.0, 0.0).share_of(WearLimit(3, 2, "x")) == 0.0


def test_limits_come_from_guidance_or_a_person_with_a_source(small: Store) -> None:
    """Figures have a source; both tables may be combined; all blank takes the limit away."""
    words = set_limit_by_guidance(small, LOW, "pipe-drained", "standard")
    assert "at most 3 adult hours and 2 match equivalents a week" in words
    assert "Natural Turf for Sport" in words
    assert "not confirmed" in words
    one = set_limit_by_guidance(small, LOW, "undrained", "poor")
    assert "at most 2 adult hours and 1 match equivalent a week" in one
    assert set_wear_limit(small, LOW, None, None, "") == "Low pitch has no limit."
    with pytest.raises(RefusedError, match="where the figures come from"):
        set_wear_limit(small, LOW, 3, None, " ")
    for figure in (0.0, -1.0, 999.0, float("nan")):
        with pytest.raises(RefusedError, match="above 0"):
            set_wear_limit(small, LOW, figure, None, "x")
    with pytest.raises(RefusedError, match="how the pitch is built"):
        set_limit_by_guidance(small, LOW, "", "")
    with pytest.raises(MissingError, match="no such row"):
        set_limit_by_guidance(small, LOW, "concrete", "")
    with pytest.raises(ValueError, match="needs a source"):
        parse_guidance("construction,source,standing\nmud,,\n")


def test_the_share_out_keeps_to_the_limits(small: Store) -> None:
    """Limits go into the problem of a stretch: minutes a week, the young weighing less."""
    set_wear_limit(small, LOW, 3, 1, "own measure")
    book(small, KESTRELS, "half-1", pitch_key=LOW, start_min=NOON, end_min=NOON + 60)
    book(small, "Frost", "half-2", pitch_key=LOW, purpose=Purpose.CLOSED)
    with small.read() as session:
        problem = load_stretch_problem(session, find_stretch(session, "winter"))
        assert with_grass_limits(session, problem, ()).loads == problem.loads
    (load,) = problem.loads
    assert (load.pitch, load.most_minutes) == (LOW, 90), "the tighter: one match of 90 minutes"
    assert {ask.wear_percent for ask in problem.asks} == {67}
    weights = {one.label: one.wear_percent for one in problem.standing}
    assert weights == {"U12 Kestrels": 67, "Frost": 0}
    assert TOP not in {one.pitch for one in problem.loads}


def test_matches_weigh_by_the_pitchs_quality(small: Store) -> None:
    """On good grass a match of under fourteens counts three quarters of an adults' one."""
    set_limit_by_guidance(small, LOW, "", "good")
    book(
        small,
        HARRIERS,
        "whole",
        pitch_key=LOW,
        purpose=Purpose.MATCH,
        start_min=NOON,
        end_min=NOON + 90,
    )
    (pitch,) = see_wear(small, A_WEDNESDAY, 1)
    assert "0.8 match equivalents" in pitch.weeks[0].use
    assert pitch.weeks[0].words == "25 % of what it bears"
