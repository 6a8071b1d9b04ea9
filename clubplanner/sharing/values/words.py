"""Times, lists and places in the words of a club."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.ground.grounds import SHARE_SLACK
from clubplanner.language import _, figure, ngettext

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.values.problem import Placement, Problem


def clock(minute: int) -> str:
    """Write a minute after midnight as a time of day: 1095 is "18:15"."""
    return f"{minute // 60:02d}:{minute % 60:02d}"


def span(start_min: int, end_min: int) -> str:
    """Write a half-open range of minutes: "18:00–19:15"."""
    return f"{clock(start_min)}–{clock(end_min)}"


def listed(parts: Sequence[str], word: str = "and") -> str:
    """Write a list in a sentence: "a", "a and b", "a, b and c"."""
    if len(parts) < 2:
        return "".join(parts)
    last = _(" or ") if word == "or" else _(" and ")
    return f"{', '.join(parts[:-1])}{last}{parts[-1]}"


def shortened(parts: Sequence[str], most: int) -> str:
    """Write a list of at most so many parts and say how many more there are."""
    if len(parts) <= most:
        return listed(parts)
    return _("%(parts)s and %(most)s more", parts=", ".join(parts[:most]), most=len(parts) - most)


def square_metres(area_m2: float) -> str:
    """Write a size: "2,100 m²"."""
    return f"{figure(area_m2, ',.0f')} m²"


def place_and_time(problem: Problem, placement: Placement) -> str:
    """Write where and when a placement is: "Tuesday 18:00–19:15, North third"."""
    ground = next(item.name for item in problem.grounds if item.key == placement.ground)
    day = problem.days[placement.day].name
    return f"{day} {span(placement.start_min, placement.end_min)}, {ground}"


def points_told(points: int) -> str:
    """Say a gain or loss in wish points."""
    if points == 0:
        return _("as good as now")
    if points > 0:
        return ngettext("%(num)s wish point more", "%(num)s wish points more", points)
    return ngettext("%(num)s wish point less", "%(num)s wish points less", -points)


def repeats(problem: Problem) -> bool:
    """Tell whether a plan repeats, as a weekly one does; an evening has its date once."""
    return any(len(day.dates) > 1 for day in problem.days)


def part_of_pitch(share: float) -> str:
    """Write a share of a pitch: "a third", or "40 % of a pitch" where it has no name."""
    names = {1.0: _("a whole pitch"), 0.5: _("a half"), 1 / 3: _("a third"), 0.25: _("a quarter")}
    for known, name in names.items():
        if abs(share - known) < SHARE_SLACK:
            return name
    return _("%(least_share)s %% of a pitch", least_share=figure(100 * share, ".0f"))
