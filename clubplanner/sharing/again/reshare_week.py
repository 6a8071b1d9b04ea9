"""Days and evenings in a re-share: they choose among plans that disturb and move as little."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing.model.aim_book import aims_of
from clubplanner.sharing.values.levels import PLACING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.again.reshare_model import ReshareModel
    from clubplanner.sharing.again.reshare_places import Places


class Week:
    """The aims about the whole week that a problem has.

    Attributes:
        names: Which, in order; none for a single evening.
    """

    def __init__(self, places: Places) -> None:
        self._worth = places.worth
        self.names = tuple(aim.name for aim in aims_of(places.terrain.problem) if aim.is_of_week)

    def values(self, plan: Sequence[int]) -> tuple[int, ...]:
        """Compute what chosen rows come to on each; less is better."""
        if not self.names:
            return ()
        found = self._worth.values(plan)
        return tuple(found[name] for name in self.names)

    def is_best(self, plan: Sequence[int]) -> bool:
        """Whether no plan can have them better."""
        return all(
            value <= self.least(name, plan)
            for name, value in zip(self.names, self.values(plan), strict=True)
        )

    def keep(self, name: str, plan: Sequence[int], model: ReshareModel) -> None:
        """Let no later plan be worse on one of them; nothing to do where it is the last."""
        if name != self.names[-1]:
            reached = self.values(plan)[self.names.index(name)]
            model.share.model.add(model.share.aim(name) <= reached)

    def least(self, name: str, plan: Sequence[int]) -> int:
        """Return what no plan can have less of on one of them that places as much."""
        return self._worth.most(self._worth.values(plan)[PLACING])[name]
