"""Sharing out again and sharing out one evening, from the command line."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

from clubplanner.commands import main
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.rows.people.turnouts import load_turnouts
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.sharing.values.problem import Effort
from tests.builders import NOW
from tests.small_club import SETTINGS, load_small_club

if TYPE_CHECKING:
    from click.testing import Result

    from clubplanner.store.engine import Store
    from tests.stores import Filled

DAY = NOW.date() + timedelta(days=(2 - NOW.weekday()) % 7 + 7)
"""A Wednesday to come."""


def publish_winter(store: Store) -> None:
    """Load the small club with a season around the present day, and publish it."""
    first, last = NOW.date() - timedelta(days=30), NOW.date() + timedelta(days=60)
    head, _, _ = SETTINGS.partition("[[stretches]]")
    settings = f'{head}[[stretches]]\nname = "Winter"\nstarts = {first}\nends = {last}\n'
    load_small_club(store, NOW, settings=settings)
    done = run_share_out(store, "winter", Effort(seconds=3), NOW)
    publish_share_out(store, done.number, NOW)


@pytest.fixture
def store(filled: Filled) -> Store:
    """Give the small club with a season around the present day, published."""
    return filled(publish_winter)


def run_proposals(store: Store, *arguments: str) -> Result:
    """Run a command on what was proposed."""
    return CliRunner().invoke(main, ["--database", str(store.engine.url), "proposals", *arguments])


def run(store: Store, *arguments: str) -> Result:
    """Run a command on the club."""
    return CliRunner().invoke(main, ["--database", str(store.engine.url), "share-out", *arguments])


def test_closed_ground_is_shared_out_again_and_published(store: Store) -> None:
    """The proposal says who loses a place, and publishing it closes the ground."""
    shut = ["run-again", "--evening", str(DAY), "--close", "Top pitch", "--reason", "Frost"]
    words = run(store, *shut, "--seconds", "3").output
    assert "is closed" in words
    assert "Lose their place whatever is done: U12 Kestrels" in words
    found = json.loads(run(store, *shut, "--seconds", "3", "--json").output)
    assert found["sort"] == "evening"
    assert found["hit"][0] == "U12 Kestrels"
    assert found["changes"][0]["squad_name"] == "U12 Kestrels"
    published = run_proposals(store, "publish", str(found["number"]))
    assert "Ground closed." in published.output


def test_an_evening_where_nobody_lacks_anything_is_told(store: Store) -> None:
    """There is nothing to share out where everybody has what they ask for."""
    result = run(store, "run-evening", str(DAY))
    assert result.exit_code == 2
    assert "No squad lacks a session" in result.stderr


def test_turns_are_planned_or_it_is_said_why_not(store: Store) -> None:
    """Two squads with nothing to swap take no turns; an unknown one is told."""
    result = run(store, "run-turns", "winter")
    assert result.exit_code == 2
    assert "no turns to take" in result.stderr
    assert "There is no squad “Moon”" in run(store, "run-turns", "winter", "--still", "Moon").stderr


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([], "one of --evening, --week and --rest"),
        (["--evening", "2027-01-06", "--week", "2027-01-06"], "one of --evening"),
        (["--rest", str(DAY), "--close", "Top pitch"], "Write with --until"),
        (["--week", str(DAY), "--close", "Moon"], "There is no ground “Moon”"),
        (["--week", str(DAY), "--drop", "Moon"], "There is no squad “Moon”"),
        (["--week", str(DAY), "--from", "25:00"], "is not a time of day"),
        (["--week", str(DAY), "--from", "20:00", "--to", "19:00"], "ends before it starts"),
        (["--rest", str(DAY), "--close", "Top pitch", "--until", "2020-01-01"], "later --until"),
    ],
)
def test_what_was_written_wrongly_is_told(store: Store, arguments: list[str], words: str) -> None:
    """Each mistake has its sentence and exit code 2."""
    result = run(store, "run-again", *arguments)
    assert result.exit_code == 2
    assert words in result.stderr


def test_an_evening_is_shared_out_by_who_comes(store: Store) -> None:
    """What is said of squads is kept for the date and felt; nobody else has to move."""
    said = ["--players", "U12 Kestrels", "6", "1", "--without", "U14 Harriers"]
    found = json.loads(
        run(store, "run-tonight", str(DAY), *said, "--seconds", "2", "--json").output
    )
    assert found["sort"] == "evening"
    assert {line["squad_name"] for line in found["changes"]} <= {"U14 Harriers"}
    with store.read() as session:
        kept = load_turnouts(session, DAY)
    assert (kept["u12-kestrels"].players, kept["u12-kestrels"].goalkeepers) == (6, 1)
    assert kept["u14-harriers"].is_coming is False
    closed = ["--close", "Top pitch", "--from", "19:00", "--to", "18:00"]
    odd = run(store, "run-tonight", str(DAY), *closed)
    assert odd.exit_code != 0
    assert "write a later time with --to" in odd.output


def test_why_tells_of_nobody_who_has_all(store: Store) -> None:
    """Only who goes without in that proposal can be asked about."""
    number = json.loads(run(store, "run", "winter", "--seconds", "2", "--json").stdout)["number"]
    result = run_proposals(store, "explain", str(number), "Nobody")
    assert result.exit_code == 2
    assert "Nobody called “Nobody” goes without" in result.stderr
