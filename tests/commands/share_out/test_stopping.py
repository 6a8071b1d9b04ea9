"""Ctrl-C keeps the best plan found so far, and a share-out goes on from one."""

from __future__ import annotations

import json
import signal
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click
import pytest
from click.testing import CliRunner

from clubplanner.commands import main
from clubplanner.commands.base import searching
from clubplanner.commands.base.searching import search
from clubplanner.services.share_out.files.files import NamedFile, untruths
from clubplanner.sharing.example.example import example
from clubplanner.sharing.files.files import read_outcome, write_value
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.problem import Effort
from tests.builders import NOW
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from clubplanner.sharing.values.brake import Brake
    from clubplanner.sharing.values.outcome import Progress
    from clubplanner.store.engine import Store


@pytest.fixture
def ctrl_c_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Press Ctrl-C as soon as a search tells of its first plan."""

    @contextmanager
    def watched(_title: str) -> Iterator[Callable[[Progress], None]]:
        pressed: list[Progress] = []

        def note(progress: Progress) -> None:
            if not pressed:
                pressed.append(progress)
                signal.raise_signal(signal.SIGINT)

        yield note

    monkeypatch.setattr(searching, "progress_bar", watched)


@pytest.mark.usefixtures("ctrl_c_at_once")
def test_ctrl_c_keeps_the_best_plan_of_a_file(tmp_path: Path) -> None:
    """The result is sound and kept, whatever was allowed, and says how to go on."""
    problem, result = tmp_path / "problem.json", tmp_path / "result.json"
    problem.write_text(write_value(example(24, 2, 1, 1.4)), encoding="utf-8")
    words = ["solve", str(problem), "--output", str(result), "--seconds", "600"]
    done = CliRunner().invoke(main, ["share-out", *words])
    assert done.exit_code == 0, done.output
    assert "the best plan found so far is kept" in done.stderr
    assert "Stopped early; --from goes on" in done.stdout
    files = [NamedFile(path.name, path.read_bytes()) for path in (problem, result)]
    assert untruths(files[0], files[1]) == ()
    kept = read_outcome(files[1].data)[0]
    assert kept is not None
    assert kept.placed > 0


@pytest.mark.usefixtures("ctrl_c_at_once")
def test_ctrl_c_keeps_a_proposal(empty_store: Store) -> None:
    """Of records as of files: the proposal is there, and its number is one to go on from."""
    store = load_small_club(empty_store, NOW)
    words = ["share-out", "run", "winter", "--seconds", "600"]
    done = CliRunner().invoke(main, ["--database", str(store.engine.url), *words])
    assert done.exit_code == 0, done.output
    assert "clubplanner share-out run winter --from 1" in done.stdout


def test_a_result_is_gone_on_from(tmp_path: Path) -> None:
    """It never gets worse, and what it began with stands in no record of it."""
    problem, result = tmp_path / "problem.json", tmp_path / "result.json"
    known = example(12, 1, 2, 1.5)
    problem.write_text(write_value(known), encoding="utf-8")
    first = solve(known, Effort(seconds=2))
    result.write_text(write_value(first), encoding="utf-8")
    words = ["share-out", "solve", str(problem), "--from", str(result), "--seconds", "1", "--json"]
    done = CliRunner().invoke(main, words)
    assert done.exit_code == 0, done.stderr
    after = read_outcome(done.stdout_bytes)[0]
    assert after is not None
    assert [level.value for level in after.levels] >= [level.value for level in first.levels][:1]
    assert after.placed >= first.placed
    assert not after.is_repeatable
    other = tmp_path / "other.json"
    other.write_text(write_value(example(12, 1, 3, 1.5)), encoding="utf-8")
    odd = CliRunner().invoke(main, ["share-out", "solve", str(other), "--from", str(result)])
    assert (odd.exit_code, "is not true of other.json" in odd.stderr) == (2, True)


def test_a_proposal_goes_on_from_an_earlier_one(empty_store: Store) -> None:
    """By its number; one of another stretch, or none at all, is told."""
    store = load_small_club(empty_store, NOW)
    address = ["--database", str(store.engine.url), "share-out", "run"]

    def run(*words: str) -> dict[str, object]:
        done = CliRunner().invoke(main, [*address, *words, "--seconds", "2", "--json"])
        assert done.exit_code == 0, done.stderr
        return dict(json.loads(done.stdout))

    first = run("winter")
    again = run("winter", "--from", str(first["number"]))
    assert again["placed"] == first["placed"]
    assert again["is_stopped"] is False
    missing = CliRunner().invoke(main, [*address, "winter", "--from", "99"])
    assert (missing.exit_code, "There is no share-out 99" in missing.stderr) == (2, True)


def test_the_first_ctrl_c_pulls_the_brake_and_the_second_gives_up() -> None:
    """What the search gives after the first is kept; after the second nothing is waited for.

    Whatever was done about it before is done again after: a run behind a shell may ignore it.
    """
    before = signal.getsignal(signal.SIGINT)

    def until_stopped(_note: object, brake: Brake) -> str:
        signal.raise_signal(signal.SIGINT)
        while not brake.is_pulled:
            time.sleep(0.01)
        return "the best so far"

    assert search("Searching", until_stopped) == ("the best so far", True)

    def never(_note: object, brake: Brake) -> None:
        signal.raise_signal(signal.SIGINT)
        while not brake.is_pulled:
            time.sleep(0.01)
        signal.raise_signal(signal.SIGINT)
        time.sleep(1)

    with pytest.raises(click.Abort):
        search("Searching", never)
    assert signal.getsignal(signal.SIGINT) is before


def test_what_a_search_raises_reaches_whoever_waits() -> None:
    """A fault is told as if no thread were between."""

    def fail(_note: object, _brake: Brake) -> None:
        raise ValueError("no room")

    with pytest.raises(ValueError, match="no room"):
        search("Searching", fail)


@pytest.mark.parametrize(
    "name", ["run-again", "run-evening", "run-tonight", "run-turns", "reshare"]
)
def test_a_search_that_begins_with_a_plan_says_so(name: str) -> None:
    """Where an earlier plan cannot be gone on from, help says what is begun with."""
    told = " ".join(CliRunner().invoke(main, ["share-out", name, "--help"]).stdout.split())
    assert "egins with" in told
    assert "an earlier result to go on from" not in told.lower()
