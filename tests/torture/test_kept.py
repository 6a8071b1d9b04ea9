"""What a run keeps reads back as it was, and what cannot be gone on with is refused."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from tests.torture.club import Club
from tests.torture.doors import At, Held
from tests.torture.kept import RUN, Go, NotKeptError, Run, open_run
from tests.torture.ledger import Ledger, Outcome, Try
from tests.torture.post import Post, Telling

if TYPE_CHECKING:
    from pathlib import Path

NOW = datetime.now(UTC).replace(microsecond=0)
HELD = Held(7, 2, At(3, NOW, NOW + timedelta(hours=1)), ("a", "b"))
POST = Post(3, {"one", "two"}, [Telling("one", "a@b.example", "u", 1, is_off=False, starts_at=NOW)])


def kept() -> Run:
    """Return a run after a go."""
    club = Club("v", {3: ("pitch", "area")}, {1: "u12"}, ("secret", "token"))
    go = Go(10.0, 5.0, 300, {"server 0": 2}, 0)
    return Run("sqlite", 2, 9, NOW.timestamp(), club=club, goes=[go], held=[[HELD], []])


def test_a_run_is_gone_on_with_as_it_was(tmp_path: Path) -> None:
    """Each client has what it held, unless that has begun; what comes has another seed."""
    kept().save(tmp_path, POST)
    run, post = open_run(tmp_path, "sqlite", 2, 9)
    assert (run, post) == (kept(), POST)
    assert run.seed_of_go != open_run(tmp_path / "new", "sqlite", 2, 9)[0].seed_of_go == 9
    assert run.held_by(0, NOW) == [HELD]
    assert run.held_by(0, NOW + timedelta(seconds=1)) == run.held_by(1, NOW) == []


def test_another_run_is_not_gone_on_with(tmp_path: Path) -> None:
    """Nor one that was broken off, whose answers no ledger has; nor one whose tokens lapse."""
    run = kept()
    run.save(tmp_path, POST)
    for records, clients in (("postgresql", 2), ("sqlite", 3)):
        with pytest.raises(NotKeptError, match="on sqlite with 2"):
            open_run(tmp_path, records, clients, 9)
    run.is_at_work = True
    run.save(tmp_path, POST)
    with pytest.raises(NotKeptError, match="broken off"):
        open_run(tmp_path, "sqlite", 2, 9)
    run.is_at_work, run.begun_at = False, run.begun_at - 29 * 86400
    run.save(tmp_path, POST)
    with pytest.raises(NotKeptError, match="older than"):
        open_run(tmp_path, "sqlite", 2, 9)
    (tmp_path / RUN).unlink()
    with pytest.raises(NotKeptError, match="something else"):
        open_run(tmp_path, "sqlite", 2, 9)


def test_a_ledger_goes_on_after_its_last_line(tmp_path: Path) -> None:
    """It counts the lines that are there, and all of them are read."""
    first = Ledger(tmp_path / "ledger")
    tries = [Try(f"c0-{n}", "book", Outcome.DONE, 1, 0.5 + n) for n in range(3)]
    first.add(tries[0])
    first.add(tries[1])
    first.close()
    second = Ledger(tmp_path / "ledger")
    assert (second.count, second.longest_s) == (2, 1.5)
    second.add(tries[2])
    second.close()
    assert list(second) == tries
    assert second.outcomes["book", Outcome.DONE] == 3
