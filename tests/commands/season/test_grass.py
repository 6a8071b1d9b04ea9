"""Grass from the command line."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from tests.commands.journal.test_changes import run
from tests.small_club import LOW, load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_limits_are_set_and_use_is_shown(empty_store: Store, tmp_path: Path) -> None:
    """In words and as JSON; faults exit with 2."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    assert f"{LOW}: no limit" in run(path, "grass", "show", "--weeks", "1").output
    assert (
        "3 adult hours"
        in run(path, "grass", "set-limit", "low pitch", "--built", "pipe-drained").output
    )
    (pitch,) = json.loads(run(path, "grass", "show", "--weeks", "2", "--json").output)
    assert (pitch["limit"]["hours"], len(pitch["weeks"])) == (3.0, 2)
    own = run(path, "grass", "set-limit", LOW, "--hours", "4", "--source", "own measure")
    assert "at most 4 adult hours a week (own measure)." in own.output
    wrong = run(path, "grass", "set-limit", LOW, "--hours", "4")
    assert wrong.exit_code == 2
    assert "Say where the figures come from" in wrong.output
