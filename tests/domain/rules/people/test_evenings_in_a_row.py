"""The rule of evenings in a row."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.rules.people.evenings_in_a_row import days_in_a_row, evenings_in_a_row
from tests.builders import A_WEDNESDAY, make_ask
from tests.domain.rules.builders import (
    CHANGES,
    KESTRELS,
    booked,
    make_case,
    make_hire,
    make_match,
    make_scene,
    of_owls,
    words_of,
)

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Scene

TWO = {KESTRELS.key: (make_ask(), make_ask(most_in_a_row=2))}


def trained(*days: int, asks: object = None) -> Scene:
    """Return a scene with trainings so many days after the Wednesday."""
    found: list[Booking] = [
        booked(n, day=A_WEDNESDAY + timedelta(days=day)) for n, day in enumerate(days, 1)
    ]
    return make_scene(*found, asks=asks or TWO)


@pytest.mark.parametrize(
    ("days", "is_refused"),
    [
        ((-1,), False),
        ((-2, -1), True),
        ((-1, 1), True),
        ((1, 2), True),
        ((-2, 1), False),  # a day off between
        ((0, 1), False),  # twice on one day is one evening
    ],
)
def test_no_more_days_than_asked_for_follow_one_another(
    days: tuple[int, ...], *, is_refused: bool
) -> None:
    """Two are allowed; the third, on either side or in the middle, is refused."""
    words = "U12 Kestrels train on no more than 2 evenings in a row."
    assert words_of(evenings_in_a_row, make_case(trained(*days))) == (words if is_refused else "")
    assert (evenings_in_a_row(make_case(trained(*days), ask=None)) is not None) == is_refused


def test_matches_hires_and_others_do_not_count() -> None:
    """Only the squad's trainings, the one that is moved left out, and only where asked for."""
    assert evenings_in_a_row(make_match(trained(1, 2))) is None
    assert evenings_in_a_row(make_hire(trained(1, 2))) is None
    assert evenings_in_a_row(make_case(trained(1, 2), number=1)) is None
    assert evenings_in_a_row(make_case(trained(1, 2, asks={KESTRELS.key: (make_ask(),)}))) is None
    days = [A_WEDNESDAY + timedelta(days=n) for n in (1, 2)]
    match = booked(1, day=days[0], purpose=Purpose.MATCH)
    others = make_scene(match, of_owls(2, day=days[1]), asks=TWO)
    assert evenings_in_a_row(make_case(others)) is None


@pytest.mark.parametrize("sunday", CHANGES)
def test_dates_are_those_on_the_wall(sunday: date) -> None:
    """Late on Saturday, on Sunday, early on Monday: three days, across a change of the clocks."""
    saturday, monday = sunday - timedelta(days=1), sunday + timedelta(days=1)
    late = booked(1, day=saturday, start_min=1380, end_min=1500)
    scene = make_scene(late, booked(2, day=monday, start_min=0, end_min=60), asks=TWO)
    assert evenings_in_a_row(make_case(scene, day=sunday, start_min=600)) is not None
    alone = make_scene(late, asks=TWO)
    assert evenings_in_a_row(make_case(alone, day=sunday, start_min=600)) is None


def test_days_are_counted_round_a_date() -> None:
    """The date itself is one, whether or not it is among them."""
    days = {A_WEDNESDAY + timedelta(days=n) for n in (-3, -1, 1, 2)}
    row = days_in_a_row(days, A_WEDNESDAY)
    assert sorted((day - A_WEDNESDAY).days for day in row) == [-1, 0, 1, 2]
    assert days_in_a_row(set(), A_WEDNESDAY) == {A_WEDNESDAY}
