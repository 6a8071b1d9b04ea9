"""Lengths to pace out, in metres, yards (1 yd = 0.9144 m, exactly) and the coach's own paces."""

from __future__ import annotations

import math
from dataclasses import dataclass

from clubplanner.domain.ground.grounds import yards_from_metres
from clubplanner.domain.ground.orientation.measures import USUAL_PACE_M, Measure, chosen_measure
from clubplanner.fitting.outlines.pieces import check_lengths
from clubplanner.language import _, figure, ngettext

_SHORTEST_PACE_M, _LONGEST_PACE_M = 0.3, 1.5


@dataclass(frozen=True, slots=True)
class Distance:
    """A length to pace out.

    Attributes:
        metres: To a tenth.
        yards: To a half.
        paces: Whole paces, to the nearest.
    """

    metres: float
    yards: float
    paces: int

    @property
    def words(self) -> str:
        """All three: "30 m (33 yd, 33 paces)", or the chosen measure alone."""
        alone = self._alone()
        metres, yards, paces = (alone[kind] for kind in _KINDS)
        return alone.get(chosen_measure(), f"{metres} ({yards}, {paces})")

    @property
    def walked(self) -> str:
        """As said for each cone of many: "30 m (33 paces)", or the chosen measure alone."""
        alone = self._alone()
        metres, _yards, paces = (alone[kind] for kind in _KINDS)
        return alone.get(chosen_measure(), f"{metres} ({paces})")

    @property
    def short(self) -> str:
        """As written on a drawing: "30 m", or the chosen measure."""
        alone = self._alone()
        return alone.get(chosen_measure(), alone[Measure.METRES])

    def _alone(self) -> dict[Measure, str]:
        return {
            Measure.METRES: _("%(length)s m", length=figure(self.metres, "g")),
            Measure.YARDS: _("%(length)s yd", length=figure(self.yards, "g")),
            Measure.PACES: ngettext("%(num)s pace", "%(num)s paces", self.paces),
        }


_KINDS = (Measure.METRES, Measure.YARDS, Measure.PACES)


def measure(metres: float, pace_m: float = USUAL_PACE_M) -> Distance:
    """Write a length in metres, yards and paces.

    Args:
        metres: 0 or more.
        pace_m: Length of one pace.

    Raises:
        ValueError: If a pace is shorter or longer than a person's.
    """
    check_lengths(may_be_zero=True, metres=metres)
    if not (math.isfinite(pace_m) and _SHORTEST_PACE_M <= pace_m <= _LONGEST_PACE_M):
        raise ValueError(
            f"Give a pace of {_SHORTEST_PACE_M:g} to {_LONGEST_PACE_M:g} m, not {pace_m:g}."
        )
    yards = round(2 * yards_from_metres(metres)) / 2
    return Distance(round(metres, 1), yards, round(metres / pace_m))
