"""The venue that a page shows: the one chosen, or the first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.errors import MissingError
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.domain.ground.grounds import Venue


def chosen_venue(venues: Sequence[Venue], key: str | None, not_there: str) -> Venue:
    """Return the venue of a key, or the first one where nobody chose.

    Args:
        venues: All venues, in the club's order.
        key: Which; None for the first.
        not_there: What is said where there is none of that key: where to choose another.

    Raises:
        MissingError: If there is no venue of that key, or no venue at all.
    """
    if not venues:
        raise MissingError(_("There is no venue yet; load the club's settings and grounds first."))
    for venue in venues:
        if key is None or venue.key == key:
            return venue
    raise MissingError(not_there)
