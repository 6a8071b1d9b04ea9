"""A search that is stopped before it has a model."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing import Effort, check
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.brake import Brake
from tests.sharing.builders import make_finely_cut

if TYPE_CHECKING:
    import pytest


def test_no_model_is_written_once_the_first_plan_is_told_and_the_search_stopped(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Whoever stops a search at its first plan has that plan, and waits for no model of it."""

    def write(*_args: object, **_more: object) -> None:
        raise AssertionError("a model was written")

    monkeypatch.setattr(ShareModel, "__init__", write)
    problem, brake, told = make_finely_cut(1), Brake(), []

    def stop(progress: object) -> None:
        told.append(progress)
        brake.pull()

    outcome = solve(problem, Effort(seconds=20), on_progress=stop, brake=brake)
    assert told
    assert outcome.placed > 20
    assert not outcome.is_repeatable
    assert check(problem, outcome.placements) == ()
    assert not any(level.is_proved for level in outcome.levels)
