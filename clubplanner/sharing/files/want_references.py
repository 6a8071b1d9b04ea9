"""What wishes, load limits and prices of a problem's file point to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing.files.json_shapes import shown
from clubplanner.sharing.values.prices import is_window, twice_priced

if TYPE_CHECKING:
    from clubplanner.sharing.files.known import Known
    from clubplanner.sharing.values.problem import Ask, Problem


def check_wants(problem: Problem, known: Known) -> None:
    """Note every fault of load limits, wishes about two squads, and prices."""
    for n, load in enumerate(problem.loads):
        known.check_key(f"$.loads[{n}].pitch", load.pitch, known.pitches, "is on pitch")
    _check_pairs(problem, known)
    _check_prices(problem, known)


def _check_prices(problem: Problem, known: Known) -> None:
    for n, price in enumerate(problem.prices):
        path = f"$.prices[{n}]"
        known.check_key(f"{path}.venue", price.venue, known.venues, "is at venue")
        if price.pitch is not None:
            here = [pitch for pitch, venue in known.pitches.items() if venue == price.venue]
            known.check_key(f"{path}.pitch", price.pitch, here, "of this venue is on pitch")
            if price.per_opening:
                message = "A pitch does not open by itself; put this on its venue, pitch null."
                known.add(f"{path}.per_opening", "contradiction", message)
        if price.ground is not None:
            here = [one.key for one in problem.grounds if one.pitch == price.pitch]
            known.check_key(f"{path}.ground", price.ground, here, "of this pitch is")
        if price.day is not None:
            known.check_day(f"{path}.day", price.day)
        if not is_window(price):
            message = "A window needs a day, from_min and a later until_min; or leave all null."
            known.add(f"{path}.from_min", "contradiction", message)
    for price in twice_priced(problem.prices):
        n = max(n for n, one in enumerate(problem.prices) if one == price)
        known.add(f"$.prices[{n}]", "twice", "There is a price for this already; keep one.")


def check_wishes(ask: Ask, path: str, known: Known) -> None:
    """Note every fault of an ask's graded wishes."""
    for n, wish in enumerate(ask.wishes):
        place = f"{path}.wishes[{n}]"
        known.check_windows(f"{place}.windows", wish.windows)
        for venue in sorted(wish.venues):
            known.check_key(f"{place}.venues", venue, known.venues, "is at venue")
        for ground in sorted(wish.grounds):
            known.check_key(f"{place}.grounds", ground, known.grounds, "has key")
        for day in sorted(wish.days):
            known.check_day(f"{place}.days", day)


def _check_pairs(problem: Problem, known: Known) -> None:
    squads = {ask.squad for ask in problem.asks}
    are_asks_sound = not known.faults.has_under("$.asks")
    for n, pair in enumerate(problem.pairs):
        path = f"$.pairs[{n}]"
        for name, squad in (("squad", pair.squad), ("other", pair.other)):
            if are_asks_sound and squad not in squads:
                message = f"No ask is of squad {shown(squad)}; write one that is."
                known.add(f"{path}.{name}", "dangling", message)
        if pair.squad == pair.other:
            known.add(f"{path}.other", "contradiction", "Write another squad than the first.")
