"""Choosing places for several sessions at once."""

from __future__ import annotations

from datetime import timedelta
from itertools import combinations, product

from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.ground.places import Place, choose_places, meets
from clubplanner.domain.times.times import TimeRange
from tests.builders import NOW


def place(cells: int, start: int = 0, cost: int = 0, pitch: str = "top") -> Place:
    """Return an hour on some cells, `start` half hours after noon."""
    during = TimeRange(
        NOW + timedelta(minutes=30 * start), NOW + timedelta(minutes=30 * start + 60)
    )
    return Place(cells, pitch, cells, f"{pitch} {cells}", "Marsh Lane", during, cost)


PLACES = st.builds(
    place,
    st.integers(1, 7),
    st.integers(0, 3),
    st.integers(0, 20),
    st.sampled_from(("top", "low")),
)


@given(
    st.lists(st.lists(PLACES, max_size=3), max_size=4),
    st.lists(st.sampled_from(("", "Robin", "Sam")), min_size=4, max_size=4),
)
def test_no_choice_places_more_or_as_many_nearer(
    options: list[list[Place]], people: list[str]
) -> None:
    """The choice equals the best of all choices, tried one by one."""
    people = people[: len(options)]

    def is_allowed(choice: tuple[Place | None, ...]) -> bool:
        for one, other in combinations(range(len(choice)), 2):
            a, b = choice[one], choice[other]
            if a is None or b is None:
                continue
            same = people[one] and people[one] == people[other]
            if meets(a, b) or (same and a.during.overlaps(b.during)):
                return False
        return True

    def score(choice: tuple[Place | None, ...]) -> tuple[int, int]:
        taken = [p for p in choice if p is not None]
        return len(taken), -sum(p.cost for p in taken)

    best = max(
        score(choice)
        for choice in product(*([*row, None] for row in options))
        if is_allowed(choice)
    )
    chosen = choose_places(options, people)
    assert is_allowed(chosen.places)
    assert score(chosen.places) == best
    assert chosen.is_best


def test_touching_times_do_not_meet() -> None:
    """Whoever comes on when another goes off takes nothing from them."""
    assert not meets(place(1), place(1, start=2))
    assert meets(place(1), place(3, start=1))
    assert not meets(place(1), place(1, pitch="low"))
