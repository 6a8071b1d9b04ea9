"""Killed on the way, a backup or a restoring leaves what can be used."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.services.evening.bookings import withdraw_booking
from clubplanner.store.upkeep.backups import UNFINISHED, make_backup
from tests.builders import NOW
from tests.records import is_file, place_of
from tests.small_club import HARRIERS, book

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_killed_at_any_step_all_of_it_is_done_or_nothing(small: Store, tmp_path: Path) -> None:
    """Records are the old or the new, and no file is called a backup that is none."""
    number = book(small, day=NOW.date())
    backup = tmp_path / "club.backup"
    make_backup(small, backup, NOW)
    withdraw_booking(small, number, 0, NOW + timedelta(minutes=1))
    book(small, HARRIERS, "third-2", day=NOW.date(), now=NOW + timedelta(minutes=2))
    small.close()
    times = 4 if is_file() else 2
    program = [sys.executable, "-m", "tests.services.restoring.killed_process"]
    arguments = [str(place_of(small)), str(backup), str(times)]
    done = subprocess.run(
        [*program, *arguments], check=False, capture_output=True, text=True, timeout=300
    )
    assert done.returncode == 0, done.stderr
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(lines) == 2 * (times + 4)
    for line in lines:
        if line["work"] == "restore":
            assert line["state"] == ("new" if line["alive"] else line["state"]), line
            assert line["state"] in ("old", "new"), line
        else:
            assert line["state"] == "old", line
            assert ("made" in line["files"]) >= line["alive"], line
        named = {name for name in line["files"] if UNFINISHED not in name}
        assert named <= {"made", "replaced"}, line
    states = [line["state"] for line in lines if line["work"] == "restore"]
    assert states.count("old") >= times - 1
    assert any(not line["alive"] for line in lines if line["work"] == "backup")
