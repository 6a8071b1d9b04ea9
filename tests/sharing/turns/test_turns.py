"""Fair turns: every slot once a turn, burdens as even as can be, few changes."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.sharing import Effort, LoadLimit, Placement, Window, check
from clubplanner.sharing.example.example import example
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.turns.permutations import changes, perfect_matching, split, too_few
from clubplanner.sharing.turns.turn_counts import fairest_counts, least_burden
from clubplanner.sharing.turns.turn_groups import turn_groups
from clubplanner.sharing.turns.turns import (
    TurnGroup,
    TurnsError,
    burdens_after,
    next_turn,
    plan_turns,
    turn_cost,
)
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem


@st.composite
def groups(draw: st.DrawFn, most: int = 6) -> TurnGroup:
    """Draw a group in which everybody can at least keep the slot of the same number."""
    size = draw(st.integers(1, most))
    burdens = tuple(
        tuple(
            draw(st.integers(0, 40)) if i == j or draw(st.integers(0, 9)) < 7 else None
            for j in range(size)
        )
        for i in range(size)
    )
    return TurnGroup(
        squads=tuple(f"squad {n}" for n in range(size)),
        slots=tuple(f"slot {n}" for n in range(size)),
        burdens=burdens,
        balance=tuple(draw(st.integers(-50, 50)) for _ in range(size)),
        still=tuple(n if draw(st.integers(0, 5)) == 0 else None for n in range(size)),
        before=tuple(draw(st.permutations(range(size)))),
    )


def valid_turns(group: TurnGroup) -> list[tuple[int, ...]]:
    """List every turn by trying all permutations."""
    allowed = group.allowed
    return [
        turn
        for turn in permutations(range(len(group.squads)))
        if all(allowed[squad][slot] for squad, slot in enumerate(turn))
    ]


@given(group=groups(), periods=st.integers(1, 20), slack=st.sampled_from([None, 0, 7]))
@settings(max_examples=30, deadline=None)
def test_every_turn_is_valid(group: TurnGroup, periods: int, slack: int | None) -> None:
    """Every slot is taken once a turn, no forbidden pair is used, who is kept still stays."""
    rota = plan_turns(group, periods, seconds=1, slack=slack)
    assert len(rota.turns) == periods
    for turn in rota.turns:
        assert sorted(turn) == list(range(len(group.squads)))
        for squad, slot in enumerate(turn):
            assert group.burdens[squad][slot] is not None
            if group.still[squad] is not None:
                assert slot == group.still[squad]
    assert rota.burdens == burdens_after(group, rota.turns)
    assert rota.changes == changes(rota.turns, group.before)


def evenness(group: TurnGroup, ends: tuple[int, ...], periods: int) -> tuple[int, int]:
    """Measure burdens: the worst, then the squares above the least there could be."""
    floor = least_burden(group.burdens, group.allowed, group.carried, periods)
    return max(ends), sum((end - floor) ** 2 for end in ends)


@given(group=groups(4), periods=st.integers(1, 3))
@settings(max_examples=30, deadline=None)
def test_burdens_are_the_most_even_of_all_turns(group: TurnGroup, periods: int) -> None:
    """Worst burden and sum of squares are those of the best of all series of turns."""
    rota = plan_turns(group, periods, slack=0)
    assert rota.is_proved
    best = min(
        evenness(group, burdens_after(group, series), periods)
        for series in product(valid_turns(group), repeat=periods)
    )
    assert evenness(group, rota.burdens, periods) == best


@given(group=groups(5), periods=st.integers(1, 12))
@settings(max_examples=30, deadline=None)
def test_slack_is_kept(group: TurnGroup, periods: int) -> None:
    """With slack the worst burden passes the least one by no more than that."""
    fair = plan_turns(group, periods, slack=0)
    easy = plan_turns(group, periods, slack=10)
    assert max(easy.burdens) <= max(fair.burdens) + 10
    assert min(easy.burdens) >= min(fair.burdens) - 10


def test_free_swaps_come_out_within_one_turn_of_equal_with_few_changes() -> None:
    """Nine squads on nine slots over twelve weeks: nobody carries a turn more than another."""
    row = (0, 5, 10, 15, 20, 25, 30, 35, 43)
    group = TurnGroup(tuple("abcdefghi"), tuple("123456789"), (row,) * 9, before=tuple(range(9)))
    rota = plan_turns(group, 12)
    assert max(rota.burdens) - min(rota.burdens) <= 43 + 1
    fixed = burdens_after(group, [tuple(range(9))] * 12)
    assert max(fixed) - min(fixed) == 12 * 43
    assert rota.changes <= 9 * 11 // 2


def test_last_season_counts() -> None:
    """Who carried more before gets the better slot now."""
    group = TurnGroup(("a", "b"), ("good", "bad"), ((0, 10), (0, 10)), balance=(40, 0))
    assert plan_turns(group, 4, slack=0).turns == ((0, 1),) * 4


@given(group=groups(6), price=st.integers(0, 3000))
@settings(max_examples=40, deadline=None)
def test_the_next_turn_is_the_cheapest(group: TurnGroup, price: int) -> None:
    """The ledger's turn costs no more than any other turn."""

    def cost(turn: tuple[int, ...]) -> int:
        grown = sum(turn_cost(group, squad, slot) for squad, slot in enumerate(turn))
        return grown + price * changes([turn], group.before)

    turn = next_turn(group, price)
    assert turn in valid_turns(group)
    assert cost(turn) == min(cost(other) for other in valid_turns(group))


def test_a_high_price_keeps_everybody_in_place() -> None:
    """With a high price for changes the turn before is kept, with none it is evened out."""
    group = TurnGroup(("a", "b"), ("good", "bad"), ((0, 10), (0, 10)), (100, 0), before=(1, 0))
    assert next_turn(group, 10**6) == (1, 0)
    assert next_turn(group, 0) == (0, 1)


@given(
    size=st.integers(1, 6),
    turns=st.lists(st.randoms(use_true_random=False), min_size=1, max_size=12),
)
@settings(max_examples=40, deadline=None)
def test_counts_split_into_turns(size: int, turns: list[object]) -> None:
    """Any sum of permutations splits into as many permutations with the same sum."""
    counts = [[0] * size for _ in range(size)]
    for chance in turns:
        order = list(range(size))
        chance.shuffle(order)  # type: ignore[attr-defined]
        for squad, slot in enumerate(order):
            counts[squad][slot] += 1
    series = split(counts, tuple(range(size)))
    assert len(series) == len(turns)
    assert all(sorted(turn) == list(range(size)) for turn in series)
    again = [[sum(turn[i] == j for turn in series) for j in range(size)] for i in range(size)]
    assert again == counts


def test_a_doubly_stochastic_example_splits_as_worked_by_hand() -> None:
    """The 3 × 3 matrix with 1, 2, 3 in its rows in turn is three circular shifts (by hand)."""
    series = split([[3, 2, 1], [1, 3, 2], [2, 1, 3]], (0, 1, 2))
    assert {turn: series.count(turn) for turn in set(series)} == {
        (0, 1, 2): 3,
        (1, 2, 0): 2,
        (2, 0, 1): 1,
    }
    assert series[0] == (0, 1, 2)
    assert changes(series, (0, 1, 2)) == 6


@given(
    rows=st.integers(1, 5).flatmap(
        lambda n: st.lists(st.lists(st.booleans(), min_size=n, max_size=n), min_size=n, max_size=n)
    )
)
def test_a_matching_or_the_reason_why_not(rows: list[list[bool]]) -> None:
    """Either every row has a column of its own, or some rows have fewer columns than they are."""
    matching, lacking = perfect_matching(rows), too_few(rows)
    exists = any(
        all(rows[i][j] for i, j in enumerate(order)) for order in permutations(range(len(rows)))
    )
    assert (matching is not None) == exists == (lacking is None)
    if matching is not None:
        assert sorted(matching) == list(range(len(rows)))
        assert all(rows[i][j] for i, j in enumerate(matching))
    if lacking is not None:
        assert len(lacking[0]) > len(lacking[1])
        assert all(j in lacking[1] for i in lacking[0] for j, ok in enumerate(rows[i]) if ok)


def test_who_cannot_all_be_served_is_named() -> None:
    """The message names the squads that share too few slots."""
    group = TurnGroup(
        ("a", "b", "c"), ("1", "2", "3"), ((0, None, None), (0, None, None), (0, 0, 0))
    )
    with pytest.raises(TurnsError, match="a and b can have 1 only"):
        plan_turns(group, 3)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"slots": ("1",)}, "as many slots"),
        ({"burdens": ((0,), (0,))}, "for every slot"),
        ({"burdens": ((0, -1), (0, 0))}, "Burdens must be"),
        ({"balance": (1,)}, "for every squad"),
        ({"balance": (1, 10**9)}, "A balance must be"),
        ({"still": (5, None)}, "by their numbers"),
        ({"still": (0, 0)}, "too few"),
    ],
)
def test_a_faulty_group_is_refused(change: dict[str, object], words: str) -> None:
    """The message says what does not fit."""
    group = TurnGroup(("a", "b"), ("1", "2"), ((0, 1), (0, 1)))
    with pytest.raises(TurnsError, match=words):
        next_turn(replace(group, **change), 0)  # type: ignore[arg-type]


def test_numbers_out_of_range_are_refused() -> None:
    """No turns, too many turns and a negative price are refused; an empty group has empty turns."""
    group = TurnGroup(("a",), ("1",), ((0,),))
    for periods in (0, 367):
        with pytest.raises(TurnsError, match="turns cannot be planned"):
            plan_turns(group, periods)
    with pytest.raises(TurnsError, match="price"):
        next_turn(group, -1)
    empty = TurnGroup((), (), ())
    assert plan_turns(empty, 2).turns == ((), ())
    assert next_turn(empty, 0) == ()


def test_counts_add_up() -> None:
    """Every squad and slot has as many turns as there are."""
    found = fairest_counts(((0, 3), (1, 2)), [[True, True]] * 2, (0, 0), 7, 1)
    assert [sum(row) for row in found.counts] == [7, 7]
    assert [sum(column) for column in zip(*found.counts, strict=True)] == [7, 7]


def test_squads_of_a_plan_take_turns_soundly() -> None:
    """Every turn of every group is a sound plan with everyone else in place."""
    problem = example(20, 2, 5, 0.8)
    plan = solve(problem, Effort(seconds=3)).placements
    found = turn_groups(problem, plan)
    assert found
    for group, members in found:
        assert group.before == tuple(range(len(members)))
        for turn in set(plan_turns(group, 6, seconds=1).turns):
            swapped = {
                (member.ask, member.session): members[turn[n]] for n, member in enumerate(members)
            }
            moved = [
                replace(
                    item,
                    ground=swapped[item.ask, item.session].ground,
                    start_min=swapped[item.ask, item.session].start_min,
                    end_min=swapped[item.ask, item.session].end_min,
                    lost_dates=swapped[item.ask, item.session].lost_dates,
                )
                if (item.ask, item.session) in swapped
                else item
                for item in plan
            ]
            assert check(problem, moved) == ()
    starts = [
        {member.start_min for member in members}
        for _, members in turn_groups(problem, plan, same_start=True)
    ]
    assert all(len(own) == 1 for own in starts)


def test_turns_keep_limits_on_the_use_of_a_pitch() -> None:
    """Who counts more has no place there of somebody who counts less; who counts as much has."""
    window, early = (Window(0, 1080, 1200),), (Window(0, 1080, 1140),)
    asks = [
        make_ask(key, possible=window, preferred=early, wear_percent=percent, minutes=60)
        for key, percent in (("a", 100), ("b", 50), ("c", 50))
    ]
    plan = [
        Placement("a", 0, "back-whole-0", 0, 1080, 1140),
        Placement("b", 0, "top-whole-0", 0, 1080, 1140),
        Placement("c", 0, "top-whole-0", 0, 1140, 1200),
    ]
    grounds = (*make_pitch("top"), *make_pitch("back"))
    open_to_all = make_problem(grounds, *asks, days=make_days(1, 6))
    ((group, _members),) = turn_groups(open_to_all, plan)
    assert all(burden is not None for row in group.burdens for burden in row)
    problem = replace(open_to_all, loads=(LoadLimit("top", most_minutes=60),))
    ((group, members),) = turn_groups(problem, plan)
    turns = set(plan_turns(group, 6, seconds=1).turns)
    assert len(turns) > 1
    for turn in turns:
        moved = [replace(members[n], ask=members[i].ask) for i, n in enumerate(turn)]
        rest = [item for item in plan if item not in members]
        assert check(problem, [*moved, *rest]) == ()
