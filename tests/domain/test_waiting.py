"""Who is next on the waiting list."""

from __future__ import annotations

from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.waiting import InLine, fair_order
from tests.builders import NOW


def line(*squads: str) -> list[InLine]:
    """Return asks of these squads, a minute apart."""
    return [InLine(n, key, NOW + timedelta(minutes=n)) for n, key in enumerate(squads, start=1)]


def order(*squads: str, **turns: dict[str, float]) -> list[int]:
    """Return the numbers of the asks in fair order."""
    granted = {key: int(n) for key, n in turns.get("granted", {}).items()}
    return [one.number for one in fair_order(line(*squads), granted, turns.get("served", {}))]


def test_first_come_first_served_among_equals() -> None:
    """Without a difference the older ask is first."""
    assert order("owls", "larks", "rooks") == [1, 2, 3]


def test_whoever_was_granted_less_goes_first() -> None:
    """A squad that got something from the list lets the others pass."""
    assert order("owls", "larks", granted={"owls": 1}) == [2, 1]


def test_of_these_the_worst_served_goes_first() -> None:
    """Hours had over hours asked for decide among those with as many turns."""
    assert order("owls", "larks", "rooks", served={"rooks": 0.4, "larks": 0.9}) == [3, 2, 1]
    assert order("owls", "larks", granted={"larks": 1}, served={"larks": 0.1}) == [1, 2]


def test_nobody_gets_two_turns_before_another_gets_one() -> None:
    """Several asks of one squad are spread among those of the others."""
    assert order("owls", "owls", "owls", "larks", "rooks") == [1, 4, 5, 2, 3]


@given(st.lists(st.sampled_from("abcd"), max_size=9), st.data())
def test_turns_stay_within_one_while_somebody_waits(squads: list[str], data: st.DataObject) -> None:
    """However long each waits, at any cut no waiting squad is two turns behind another."""
    served = {key: data.draw(st.floats(0, 1)) for key in "abcd"}
    found = fair_order(line(*squads), {}, served)
    assert sorted(one.number for one in found) == list(range(1, len(squads) + 1))
    for cut in range(len(found)):
        turns = {key: sum(one.squad_key == key for one in found[:cut]) for key in set(squads)}
        waiting = {one.squad_key for one in found[cut:]}
        for key in waiting:
            assert max(turns.values()) <= turns[key] + 1
