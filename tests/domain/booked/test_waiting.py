"""Who is next on the waiting list."""

from __future__ import annotations

from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.booked.waiting import AskState, InLine, SwapState, fair_order
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


def test_each_ask_further_up_counts_as_one_turn() -> None:
    """A squad that had nothing so far is level, after one ask, with one that was granted one."""
    assert order("owls", "owls", "larks", granted={"larks": 1}, served={"owls": 0.5}) == [1, 2, 3]
    assert order("owls", "owls", "larks", granted={"larks": 1}, served={"larks": 0.5}) == [1, 3, 2]


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


def test_of_asks_at_the_same_moment_the_lower_number_goes_first() -> None:
    """So that the order does not depend on how the list was read."""
    asks = [InLine(3, "owls", NOW), InLine(1, "larks", NOW), InLine(2, "rooks", NOW)]
    assert [one.number for one in fair_order(asks, {}, {})] == [1, 2, 3]


def test_who_is_not_known_has_had_nothing_yet_and_is_served_in_full() -> None:
    """Left out of the counts means no turn so far; left out of the hours, all that was asked."""
    assert order("owls", "larks", granted={"owls": 0}) == [1, 2]
    assert order("owls", "larks", granted={"owls": 1}) == [2, 1]
    assert order("owls", "larks", served={"owls": 1.1}) == [2, 1]
    assert order("owls", "larks", served={"larks": 0.99}) == [2, 1]


def test_turns_already_had_are_not_counted_for_others_lists() -> None:
    """The counts that are handed in stay as they were."""
    granted = {"owls": 1}
    fair_order(line("owls", "larks"), granted, {})
    assert granted == {"owls": 1}


def test_states_are_kept_under_these_words() -> None:
    """Records hold them, so they stay as they are."""
    assert [state.value for state in AskState] == ["waiting", "granted", "refused", "taken back"]
    assert [s.value for s in SwapState] == ["offered", "accepted", "declined", "taken back"]
