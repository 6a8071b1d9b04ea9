"""Which prices of a problem hold at one place and time, and what does not go together in them."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from clubplanner.sharing.values.wants import Price

LATEST = 10**6
"""Later than any minute of a day."""


def is_window(price: Price) -> bool:
    """Tell whether a price's window is whole, and of a day; one without a window is, too."""
    if price.from_min is None or price.until_min is None:
        return price.from_min is None and price.until_min is None
    return price.day is not None and 0 <= price.from_min < price.until_min


def twice_priced(prices: Iterable[Price]) -> Iterator[Price]:
    """Yield prices that hold at the same place and time as another of the same kind."""
    by_place: dict[object, list[Price]] = defaultdict(list)
    for price in prices:
        place = (price.venue, price.pitch, price.ground, price.day, price.for_floodlights)
        by_place[place].append(price)
    for same in by_place.values():
        in_order = sorted(same, key=window_of)
        for one, other in pairwise(in_order):
            if window_of(other)[0] < window_of(one)[1]:
                yield other


def window_of(price: Price) -> tuple[int, int]:
    """Return from which minute up to which a price holds."""
    if price.from_min is None or price.until_min is None:
        return 0, LATEST
    return price.from_min, price.until_min
