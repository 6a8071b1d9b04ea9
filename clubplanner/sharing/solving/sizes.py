"""How much memory a share-out needs, about, and what its processes may have.

Measured on invented clubs of 40 to 1,000 squads (`tests/benchmarks/FIGURES.md`): a process of its
own needs 120 MB before it begins, and less than 5 kB for each place that an ask could have.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing.values.extent import most_places

if TYPE_CHECKING:
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.parts.looking import Look
    from clubplanner.sharing.values.problem import Effort, Problem

BASE_MB = 130.0
PLACE_MB = 0.005
QUICK_PLACE_MB = 0.0012
"""The same for a quick plan, by one session after the other and a relaxation."""
HERE_MB = 250.0
"""What the calling process itself may need: the problem, the plan, the explaining."""
FEWEST_HANDS = 2
LEAST_HAND_MB = 160.0
MOST_PLACES = 90_000
"""With more places than this a problem has more slots than one model may have."""
MOST_PLACES_A_PART = 40_000
"""A part is no larger, however much memory there is: larger models find less in the time."""


def too_large(problem: Problem, effort: Effort) -> tuple[Terrain, Look] | None:
    """Look at a problem that is too large to be worked on as one.

    It is counted by plain arithmetic first, and only where that does not settle it by looking.

    Returns:
        What is known of it; None where it can be worked on as one.
    """
    most = most_places_at_once(effort)
    if most_places(problem) <= most:
        return None
    from clubplanner.sharing.ground.terrain import survey
    from clubplanner.sharing.parts.looking import look

    terrain = survey(problem)
    known = look(terrain)
    return (terrain, known) if known.count > most else None


def most_places_at_once(effort: Effort) -> int:
    """Return how many places a problem may have that is worked on as one."""
    return min(MOST_PLACES, int((effort.memory_mb - BASE_MB) / PLACE_MB))


def hands(effort: Effort) -> int:
    """Return how many processes work on parts: two unless more are asked for or memory is short."""
    room = int((effort.memory_mb - HERE_MB) / LEAST_HAND_MB)
    return max(1, min(room, max(FEWEST_HANDS, effort.workers)))


def hand_mb(effort: Effort) -> float:
    """Return what each of the processes that work on parts may have, in MB."""
    return max(LEAST_HAND_MB, (effort.memory_mb - HERE_MB) / hands(effort))


def places_within(most_mb: float) -> int:
    """Return how many places a part may have in a process of so much memory."""
    return max(1_000, min(MOST_PLACES_A_PART, int((most_mb - BASE_MB) / PLACE_MB)))


def quick_places_within(most_mb: float) -> int:
    """Return how many places may be looked at together for a quick plan."""
    return max(1_000, int((most_mb - BASE_MB) / QUICK_PLACE_MB))
