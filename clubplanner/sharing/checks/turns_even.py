"""Whether turns are as even as they claim, added up in whole numbers.

The least worst burden follows by a sum that anybody can add up. Weigh each member's burden: the
worst is no less than the weighted mean. Over all turns each place is had as often as there are
turns, so a price on it adds the same however turns are taken; and at prices a member has at least
what is cheapest for it in every turn.
"""

from __future__ import annotations

from collections import Counter
from math import gcd
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.checking import Fault

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.values.turns_taken import GroupTaken


def least_worst(group: GroupTaken) -> int:
    """Add up below which burden the worst of a group cannot be, however turns are taken.

    The sum is rounded up to a burden that some member can end with: a member carries what it
    carries, and adds what its places cost.

    Args:
        group: With weights of which one is above 0 and none below; what else it claims of how even
            it is does not count.
    """
    turns = len(group.dates)
    mean = sum(w * own for w, own in zip(group.weights, group.carried, strict=True))
    mean += turns * sum(group.place_prices)
    for n, weight in enumerate(group.weights):
        mean += turns * min(
            weight * burden - group.place_prices[place] for place, burden in _can_have(group, n)
        )
    least = -(-mean // sum(group.weights))
    ends = []
    for n, carried in enumerate(group.carried):
        step = gcd(*(burden for _place, burden in _can_have(group, n)))
        if step:
            ends.append(least + (carried - least) % step)
        elif carried >= least:
            ends.append(carried)
    return min(ends, default=least)


def _can_have(group: GroupTaken, member: int) -> list[tuple[int, int]]:
    """List the places that a member can have, with what each costs it; who stays has the own."""
    return [
        (place, burden)
        for place, burden in enumerate(group.burdens[member])
        if burden is not None
        and (place == member or not (group.still[member] or group.still[place]))
    ]


def evenness_told(group: GroupTaken) -> Iterator[Fault]:
    """Check a group's counts, burdens and changes, and how even it claims to be.

    Args:
        group: One whose lists fit each other.
    """
    size = range(len(group.members))
    counts = tuple(
        tuple(Counter(turn[n] for turn in group.turns)[place] for place in size) for n in size
    )
    if group.counts != counts:
        yield _fault("counts", "The places are not had as often as it says.")
    for n, row in enumerate(counts):
        can_have = {place for place, _burden in _can_have(group, n)}
        if any(times and place not in can_have for place, times in enumerate(row)):
            yield _fault("turns", f"Member {n} has a place that it cannot have.")
            return
    totals = tuple(
        carried + sum(times * (burden or 0) for times, burden in zip(row, own, strict=True))
        for carried, row, own in zip(group.carried, counts, group.burdens, strict=True)
    )
    if group.totals != totals:
        yield _fault("totals", f"The burdens at the end are {totals}, not {group.totals}.")
    before: Sequence[int] = size
    changes = 0
    for turn in group.turns:
        changes += sum(old != new for old, new in zip(before, turn, strict=True))
        before = turn
    if group.changes != changes:
        yield _fault("changes", f"There are {changes} changes of place, not {group.changes}.")
    yield from _claims_told(group, max(totals))


def _claims_told(group: GroupTaken, worst: int) -> Iterator[Fault]:
    """Check what is claimed of the worst burden: by the sum, and by slack."""
    slack = max(burden or 0 for row in group.burdens for burden in row) // 2
    if group.slack != slack:
        yield _fault("slack", f"Half the largest burden is {slack}, not {group.slack}.")
    if worst > group.fairest_worst + slack:
        message = f"The worst burden is {worst}, more than {slack} above {group.fairest_worst}."
        yield _fault("even", message)
    if min(group.weights) < 0 or not any(group.weights):
        yield _fault("weights", "Weights are 0 or more, and not all of them 0.")
        return
    least = least_worst(group)
    if group.least_worst != least:
        message = f"By the sum no turns have a worst burden below {least}, not {group.least_worst}."
        yield _fault("least worst", message)
    if min(group.fairest_worst, worst) < least:
        yield _fault("even", f"Turns are claimed with a worst burden below {least}.")


def _fault(code: str, message: str) -> Fault:
    return Fault(code, message, ())
