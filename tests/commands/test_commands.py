"""The command line: help, JSON, plain messages and exit codes."""

from __future__ import annotations

import json
import socket
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click
import pytest
from click.testing import CliRunner

from clubplanner.commands import main
from clubplanner.commands.serving import demo as demo_module
from clubplanner.commands.serving.demo import demo_clock
from clubplanner.errors import RefusedError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.resources import invented_club_files
from clubplanner.services.setup.loading import load_files
from clubplanner.store.engine import open_store
from clubplanner.store.upkeep.migrate import migrate
from tests.builders import NOW
from tests.services.problem.test_problem import GROUNDS, SETTINGS, SQUADS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from click.testing import Result

    from clubplanner.store.engine import Store

FILES = {"club.toml": SETTINGS, "hill.geojson": GROUNDS, "squads.csv": SQUADS}


@pytest.fixture
def database(tmp_path: Path) -> str:
    """Give the address of a database that is not there yet."""
    return f"sqlite:///{tmp_path / 'club.sqlite'}"


@pytest.fixture
def files(tmp_path: Path) -> list[str]:
    """Write the files of a small club and return their paths."""
    for name, data in FILES.items():
        (tmp_path / name).write_bytes(data)
    return [str(tmp_path / name) for name in FILES]


def run(database: str, *arguments: str) -> Result:
    """Run a command as a person would."""
    return CliRunner().invoke(main, ["--database", database, *arguments])


def every_command() -> Iterator[list[str]]:
    """Yield the words of every command and group."""
    stack: list[tuple[list[str], click.Command]] = [([], main)]
    while stack:
        words, command = stack.pop()
        yield words
        if isinstance(command, click.Group):
            asked = click.Context(command)
            names = command.list_commands(asked)
            found = [(name, command.get_command(asked, name)) for name in names]
            stack += [([*words, name], sub) for name, sub in found if sub is not None]


@pytest.mark.parametrize("words", list(every_command()), ids=" ".join)
def test_every_command_has_help(words: list[str]) -> None:
    """Each command explains itself."""
    result = CliRunner().invoke(main, [*words, "--help"])
    assert result.exit_code == 0
    assert len(result.output.splitlines()) > 3


def test_a_club_goes_through_all_commands(database: str, files: list[str], tmp_path: Path) -> None:
    """Init, load, share out, publish, a calendar and a way in work one after the other."""
    assert run(database, "init").exit_code == 0
    assert run(database, "init").exit_code == 0, "a second time does no harm"
    loaded = run(database, "club", "load", *files)
    assert loaded.exit_code == 0
    assert "Loaded 3 squads with 3 asks." in loaded.output
    proposal = json.loads(
        run(database, "share-out", "run", "spring", "--seconds", "5", "--json").output
    )
    assert (proposal["placed"], proposal["asked"], proposal["kind"]) == (2, 3, "proved best")
    assert proposal["refusals"][0]["reasons"]
    published = json.loads(
        run(database, "proposals", "publish", str(proposal["number"]), "--json").output
    )
    assert published["added"] == 8
    calendar = tmp_path / "hawks.ics"
    assert run(database, "calendars", "export", "squad", "hawks", "--output", str(calendar)).output
    assert calendar.read_bytes().startswith(b"BEGIN:VCALENDAR\r\n")
    assert "/secretary/" in run(database, "people", "let-in").output


def test_a_share_out_is_told_in_words(database: str, files: list[str]) -> None:
    """Without --json a person reads how it ended, who goes without and what comes next."""
    run(database, "init")
    run(database, "club", "load", *files)
    output = run(database, "share-out", "run", "Spring", "--seconds", "5").output
    assert "2 of 3 sessions asked for have a place." in output
    assert "1 missing:" in output
    assert "clubplanner proposals publish 1" in output
    assert "Published: 8 sessions added" in run(database, "proposals", "publish", "1").output
    again = run(database, "proposals", "publish", "1")
    assert again.exit_code == 2
    assert "published already" in again.stderr


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["club", "load", "missing.csv"], "missing.csv cannot be read"),
        (
            ["calendars", "export", "squad", "nobody"],
            "There is no squad “nobody”; the squads are: hawks, owls, wrens.",
        ),
        (["share-out", "run", "summer"], "There is no stretch “summer”"),
        (["proposals", "publish", "9"], "There is no share-out 9"),
        (
            ["share-out", "run", "spring", "--seconds", "0"],
            "Write --seconds as a number from 1 to 86400.",
        ),
        (["calendars", "export", "squad", "hawks", "--output", "/no/at/all.ics"], "be written"),
    ],
)
def test_what_a_person_can_mend_is_told_with_exit_code_2(
    database: str, files: list[str], arguments: list[str], words: str
) -> None:
    """A plain message, exit code 2, and no traceback."""
    run(database, "init")
    run(database, "club", "load", *files)
    result = run(database, *arguments)
    assert result.exit_code == 2
    assert words in result.stderr
    assert "Traceback" not in result.output


def test_all_faults_of_files_are_told(database: str, tmp_path: Path) -> None:
    """Every fault has its place, as words and as JSON; nothing is loaded."""
    run(database, "init")
    bad = tmp_path / "squads.csv"
    bad.write_text("squad,players,sessions a week,minutes,possible\n,x,9,75,Mon\n")
    result = run(database, "club", "load", str(bad))
    assert result.exit_code == 2
    assert "squads.csv, row 2, column squad" in result.stderr
    assert "squads.csv, row 2, column players" in result.stderr
    assert "There is no club yet" in result.stderr
    body = json.loads(run(database, "club", "load", str(bad), "--json").output)
    assert {p["code"] for p in body["problems"]} >= {"missing", "not-a-number", "no-club"}


@pytest.mark.parametrize(
    ("address", "words"),
    [
        ("nonsense", "is not a database address"),
        ("postgresql://127.0.0.1:1/x", "database server does not answer"),
        ("oddbase:///x", "use an address that starts with sqlite:///"),
        ("sqlite:////nowhere/at/all.sqlite", "cannot be used"),
    ],
)
def test_a_database_that_cannot_be_used_is_told(address: str, words: str) -> None:
    """A wrong address is explained."""
    result = run(address, "init")
    assert result.exit_code == 2
    assert words in result.stderr


def test_commands_before_init_say_so(database: str) -> None:
    """Without a database the first step is named."""
    result = run(database, "people", "let-in")
    assert result.exit_code == 2
    assert "clubplanner init" in result.stderr


def test_a_port_that_is_taken_is_told(database: str) -> None:
    """Serving on a taken port names another way."""
    run(database, "init")
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        result = run(database, "serve", "--port", str(taken.getsockname()[1]))
    assert result.exit_code == 2
    assert "choose another with --port" in result.stderr


def test_the_demo_prints_addresses(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The demo takes files through the same loaders and prints an address of each kind."""
    for name, data in FILES.items():
        (tmp_path / name).write_bytes(data.partition(b'[[stretches]]\nname = "Holidays"')[0])
    monkeypatch.setattr(
        demo_module, "invented_club_files", lambda: tuple(tmp_path / name for name in FILES)
    )
    monkeypatch.setattr(demo_module, "DEMO_SQUAD", "Hawks")
    result = CliRunner().invoke(
        main, ["demo", "--folder", str(tmp_path / "a demo"), "--no-serve", "--seconds", "2"]
    )
    assert result.exit_code == 0, result.output
    for words in ("Secretary sets a password", "Coach signs in", "Groundskeeper signs in"):
        assert words in result.output
    for path in ("secretary/", "let-in/", "ground/"):
        assert f"http://127.0.0.1:8000/{path}" in result.output
    file = tmp_path / "a demo" / "demo.sqlite"
    assert file.exists()
    assert f"The demo's records         sqlite:///{file}" in result.output
    assert f"clubplanner --database 'sqlite:///{file}' serve --port 8000" in result.stderr
    assert "replaced" not in result.stderr


def test_the_demo_says_that_it_begins_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was left of one that was killed, log and all, is gone, and that is said."""
    monkeypatch.setattr(demo_module, "load_files", _broken_off)
    for suffix in ("", "-wal", "-shm"):
        (tmp_path / f"demo.sqlite{suffix}").write_bytes(b"of before")
    result = CliRunner().invoke(main, ["demo", "--folder", str(tmp_path), "--no-serve"])
    assert "stopped in the test" in result.stderr
    assert f"The demo's earlier records, {tmp_path / 'demo.sqlite'}, are replaced." in result.stderr
    assert (tmp_path / "demo.sqlite").read_bytes().startswith(b"SQLite format 3")
    assert not (tmp_path / "demo.sqlite-wal").exists(), "its records were left open"


def _broken_off(*_all: object) -> None:
    raise RefusedError("stopped in the test")


@pytest.mark.parametrize("named", [("--database", "sqlite:///x.sqlite"), ("--clubs", "list.toml")])
def test_the_demo_goes_into_no_records_that_are_named(
    named: tuple[str, str], tmp_path: Path
) -> None:
    """A club's own records are not what an invented club goes into; nor is that passed over."""
    folder = tmp_path / "demo"
    result = CliRunner().invoke(main, [*named, "demo", "--folder", str(folder), "--no-serve"])
    assert result.exit_code == 2
    assert "The demo keeps records of its own" in result.stderr
    assert "--folder says where they are" in result.stderr
    assert not folder.exists()


@pytest.mark.parametrize("inside", ["", "/deeper"])
def test_a_demo_without_a_place_to_keep_its_records_says_so(tmp_path: Path, inside: str) -> None:
    """Where no folder can be made it is told in one sentence, with what to do."""
    file = tmp_path / "a file"
    file.write_text("kept")
    result = CliRunner().invoke(main, ["demo", "--folder", f"{file}{inside}", "--no-serve"])
    assert result.exit_code == 2, result.output
    assert f"cannot keep its records in {file}" in result.stderr
    assert "name another place" in result.stderr
    assert file.read_text() == "kept"


def test_the_demos_clock_is_right_during_the_season_and_set_back_after(empty_store: Store) -> None:
    """In the season the demo shows the real time; later it plays in the season's third week."""
    load_files(empty_store, [ClubFile("club.toml", SETTINGS)], NOW)
    during = datetime(2027, 3, 20, 12, tzinfo=UTC)
    assert demo_clock(empty_store, lambda: during).back == timedelta(0)
    later = datetime(2031, 5, 6, 12, tzinfo=UTC)
    back = demo_clock(empty_store, lambda: later).back
    assert back % timedelta(weeks=1) == timedelta(0)
    assert datetime(2027, 3, 29, tzinfo=UTC) <= later - back <= datetime(2027, 4, 5, tzinfo=UTC)


def test_the_invented_club_is_what_the_demo_loads(tmp_path: Path) -> None:
    """The files of the invented club are of the kinds a club loads, and load without a fault."""
    assert {Path(path).suffix for path in invented_club_files()} == {".toml", ".geojson", ".csv"}
    database = f"sqlite:///{tmp_path / 'x.sqlite'}"
    store = open_store(database)
    migrate(store)
    store.close()
    result = run(database, "club", "load", *(str(path) for path in invented_club_files()))
    assert result.exit_code == 0
    assert "28 squads" in result.output


@pytest.mark.parametrize("address", ["sqlite://", "sqlite:///", "sqlite:///:memory:"])
def test_an_address_without_a_file_is_refused(address: str) -> None:
    """What is kept in memory would be gone with the command."""
    result = run(address, "init")
    assert result.exit_code == 2
    assert "names no file, so nothing would be kept; write an address like" in result.output
