"""What first coaches are called in a share-out: by name, and apart where two have the same one."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from clubplanner.domain.club.comparing_names import plain_name

if TYPE_CHECKING:
    from collections.abc import Iterable

    from clubplanner.domain.club.squads import Squad


def name_coaches(squads: Iterable[Squad]) -> dict[str, str]:
    """Name the first coaches of squads; different people get different names.

    A share-out knows people by words alone, which stand in what it says to people, too. Where two
    share a name, the first of their squads stands behind it: "Kim Rowe (U9 Martins)".

    Args:
        squads: All squads, in the club's order.

    Returns:
        The words by `Squad.coach_key`; squads without a coach are left out.
    """
    first: dict[str, Squad] = {}
    for squad in squads:
        if squad.coach_key:
            first.setdefault(squad.coach_key, squad)
    called = Counter(plain_name(squad.coach) for squad in first.values())
    return {
        key: _told(squad)
        if squad.coach.strip() and called[plain_name(squad.coach)] == 1
        else f"{_told(squad)} ({squad.name})"
        for key, squad in first.items()
    }


def _told(squad: Squad) -> str:
    return " ".join(squad.coach.split()) or squad.coach_email
