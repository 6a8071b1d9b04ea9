"""Fair turns: squads that can have each other's slots share the worse ones out over the weeks.

A slot is a place and time that the plan gives to one squad of a group; each turn (a week, or a date
of the plan) every squad of the group has exactly one slot. A squad's burden is what its slots cost
it, in whole points, together with what it carries from before.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ortools.graph.python import linear_sum_assignment

from clubplanner.language import _, ngettext
from clubplanner.sharing.turns.permutations import changes, split, too_few
from clubplanner.sharing.turns.turn_counts import fairest_counts
from clubplanner.sharing.values.words import listed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.turns.permutations import Turn
    from clubplanner.sharing.values.brake import Brake

MOST_BURDEN = 10_000
MOST_BALANCE = 1_000_000


class TurnsError(ValueError):
    """Turns cannot be taken as wished; the message says why."""


@dataclass(frozen=True, slots=True)
class TurnGroup:
    """Squads and the slots that they take in turns.

    Attributes:
        squads: Names.
        slots: Names, as many as squads.
        burdens: For each squad what each slot costs it, 0 to `MOST_BURDEN`; None where it cannot
            have the slot.
        balance: Burden that each squad carries from before; empty for none.
        still: The number of the slot in which each squad is kept, or None; empty for nobody.
        before: The number of the slot that each squad has before the first turn, or None; empty
            when there is none.
    """

    squads: tuple[str, ...]
    slots: tuple[str, ...]
    burdens: tuple[tuple[int | None, ...], ...]
    balance: tuple[int, ...] = ()
    still: tuple[int | None, ...] = ()
    before: tuple[int | None, ...] = ()

    @property
    def allowed(self) -> list[list[bool]]:
        """Which slots each squad can have, the ones kept still in theirs only."""
        rows = [[burden is not None for burden in row] for row in self.burdens]
        for squad, kept in enumerate(self.still):
            for other in range(len(self.slots)):
                if kept is not None and other != kept:
                    rows[squad][other] = False
                if kept is not None and other != squad and other < len(rows):
                    rows[other][kept] = False
        return rows

    @property
    def carried(self) -> tuple[int, ...]:
        """Burden from before, with none written out."""
        return self.balance or (0,) * len(self.squads)


@dataclass(frozen=True, slots=True)
class Rota:
    """Who has which slot when.

    Attributes:
        turns: For each turn the number of each squad's slot.
        burdens: Each squad's burden at the end, what it carried included.
        changes: How often a squad has another slot than the turn before.
        is_proved: Whether no other turns have a smaller worst burden and then a smaller sum of
            squares of burdens, but for the slack allowed. The number of changes is not proved.
        slack: How much was allowed.
        fairest_worst: The worst burden of the fairest turns found, which these may pass by that.
    """

    turns: tuple[Turn, ...]
    burdens: tuple[int, ...]
    changes: int
    is_proved: bool
    slack: int = 0
    fairest_worst: int = 0


def plan_turns(
    group: TurnGroup,
    periods: int,
    seconds: float = 5.0,
    slack: int | None = None,
    brake: Brake | None = None,
) -> Rota:
    """Plan turns for all periods ahead.

    First how often each squad has each slot, so that the worst burden is least and then all are as
    even as can be; then an order with few changes.

    Args:
        group: The squads and slots.
        periods: How many turns, 1 to 366.
        seconds: About how long to try for a proof.
        slack: By how many points burdens may pass the worst and the best of the fairest turns
            where that makes for fewer changes; None for half the largest burden of a turn, so that
            squads stay within about one turn of equal with a third of the changes.
        brake: Ends it early with the best turns so far.

    Raises:
        TurnsError: If the group is faulty, or not every squad can have a slot at once.
    """
    check_group(group)
    if not 1 <= periods <= 366:
        raise TurnsError(f"{periods} turns cannot be planned; plan 1 to 366.")
    if not group.squads:
        return Rota(((),) * periods, (), 0, is_proved=True)
    if slack is None:
        slack = max((burden or 0 for row in group.burdens for burden in row), default=0) // 2
    before = group.before or (None,) * len(group.squads)
    found = fairest_counts(
        group.burdens, group.allowed, group.carried, periods, seconds, slack, before, brake
    )
    turns = split(found.counts, before)
    return Rota(
        turns,
        burdens_after(group, turns),
        changes(turns, before),
        found.is_proved,
        slack,
        found.worst,
    )


def next_turn(group: TurnGroup, price: int) -> Turn:
    """Choose one turn in mid-season from the burdens so far.

    Each squad counts with the growth of the square of its burden, so that a slot weighs more on a
    squad that already carries much; each change of slot costs a price on top.

    Args:
        group: With the burdens so far as its balance and the slots held now as `before`.
        price: What a change costs, in squared points, 0 or more.

    Returns:
        A turn of least cost.

    Raises:
        TurnsError: If the group is faulty, or not every squad can have a slot at once.
    """
    check_group(group)
    if price < 0:
        raise TurnsError("The price of a change must not be negative.")
    before = group.before or (None,) * len(group.squads)
    solver = linear_sum_assignment.SimpleLinearSumAssignment()
    for squad, row in enumerate(group.allowed):
        for slot, is_allowed in enumerate(row):
            if is_allowed:
                cost = turn_cost(group, squad, slot)
                is_change = before[squad] not in (None, slot)
                solver.add_arc_with_cost(squad, slot, cost + price * is_change)
    if not group.squads:
        return ()
    if solver.solve() != solver.OPTIMAL:
        raise TurnsError("The turn could not be chosen; the numbers are too large.")
    return tuple(solver.right_mate(squad) for squad in range(len(group.squads)))


def turn_cost(group: TurnGroup, squad: int, slot: int) -> int:
    """Compute how much the square of a squad's burden grows with a slot it can have."""
    own = group.burdens[squad][slot] or 0
    return own * (own + 2 * group.carried[squad])


def burdens_after(group: TurnGroup, turns: Sequence[Turn]) -> tuple[int, ...]:
    """Add up each squad's burden, what it carried included."""
    return tuple(
        carried + sum(row[turn[squad]] or 0 for turn in turns)
        for squad, (carried, row) in enumerate(zip(group.carried, group.burdens, strict=True))
    )


def check_group(group: TurnGroup) -> None:
    """Make sure that a group's parts fit each other and that one turn exists.

    Raises:
        TurnsError: If not.
    """
    count = len(group.squads)
    if len(group.slots) != count or len(group.burdens) != count:
        raise TurnsError("A group needs as many slots and rows of burdens as squads.")
    if any(len(row) != count for row in group.burdens):
        raise TurnsError("Each squad needs a burden, or None, for every slot.")
    if any(not 0 <= (burden or 0) <= MOST_BURDEN for row in group.burdens for burden in row):
        raise TurnsError(f"Burdens must be from 0 to {MOST_BURDEN}.")
    for part in (group.balance, group.still, group.before):
        if len(part) not in (0, count):
            raise TurnsError("Balance, still and before need an entry for every squad, or none.")
    if any(abs(carried) > MOST_BALANCE for carried in group.carried):
        raise TurnsError(f"A balance must be at most {MOST_BALANCE}, either way.")
    numbers = [slot for slot in (*group.still, *group.before) if slot is not None]
    if any(not 0 <= slot < count for slot in numbers):
        raise TurnsError("Still and before must name slots by their numbers.")
    lacking = too_few(group.allowed)
    if lacking is not None:
        who = listed([group.squads[n] for n in lacking[0]])
        what = listed([group.slots[n] for n in lacking[1]]) or _("no slot")
        raise TurnsError(
            ngettext(
                "%(who)s can have %(what)s only, too few for all at once. Allow more slots, or "
                "leave out whoever shares none.",
                "%(who)s can have %(what)s only, too few for all at once. Allow more slots, or "
                "leave out whoever share none.",
                len(lacking[0]),
                who=who,
                what=what,
            )
        )
