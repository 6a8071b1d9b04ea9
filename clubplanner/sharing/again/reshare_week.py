"""Days and evenings in a re-share: they choose among plans that disturb and move as little."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing.model.aim_book import aims_of
from clubplanner.sharing.values.levels import PLACING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.again.reshare_model import ReshareModel


class Week:
    """The aims about the whole week that a problem has.

    Attributes:
        names: Which, in order; none for a single evening.
    """

    def __init__(self, model: ReshareModel) -> None:
        self._model = model
        self.names = tuple(aim.name for aim in aims_of(model.terrain.problem) if aim.is_of_week)

    def values(self, plan: Sequence[int]) -> tuple[int, ...]:
        """Compute what chosen rows come to on each; less is better."""
        if not self.names:
            return ()
        found = self._model.worth.values(plan)
        return tuple(found[name] for name in self.names)

    def is_best(self, plan: Sequence[int]) -> bool:
        """Whether no plan can have them better."""
        least = self._least(plan)
        return all(
            value <= least[name] for name, value in zip(self.names, self.values(plan), strict=True)
        )

    def aim_for(self, name: str, plan: Sequence[int]) -> float:
        """Make one of them the model's goal, unless none is better; return what none can pass."""
        least = self._least(plan)[name]
        if self.values(plan)[self.names.index(name)] > least:
            self._model.share.model.minimize(self._model.share.aim(name))
        return float(least)

    def keep(self, name: str, plan: Sequence[int]) -> None:
        """Let no later plan be worse on one of them; nothing to do where it is the last."""
        if name != self.names[-1]:
            reached = self.values(plan)[self.names.index(name)]
            self._model.share.model.add(self._model.share.aim(name) <= reached)

    def _least(self, plan: Sequence[int]) -> dict[str, int]:
        worth = self._model.worth
        return worth.most(worth.values(plan)[PLACING])
