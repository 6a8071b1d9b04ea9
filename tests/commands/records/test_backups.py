"""The commands that back a club up and bring it back."""

from __future__ import annotations

import json
import os
import re
import shlex
import subprocess
import sys
import time
from dataclasses import fields
from typing import TYPE_CHECKING, Any

import pytest
from click.testing import CliRunner

from clubplanner.commands import main
from clubplanner.commands.records.backups import _lines
from clubplanner.resources import resource_folder
from clubplanner.services.restoring.restoring import Restored
from clubplanner.services.restoring.settled import Found
from tests.builders import NOW
from tests.records import address_of
from tests.serving import environment
from tests.small_club import book

if TYPE_CHECKING:
    from pathlib import Path

    from click.testing import Result

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.files


def run(store: Store, *words: str) -> Result:
    """Type a command over a store's records."""
    store.close()
    return CliRunner().invoke(main, ["--database", str(store.engine.url), *words])


def test_a_club_is_backed_up_and_comes_back(small: Store, tmp_path: Path) -> None:
    """Whoever types them reads what was done, what is kept and what was lost."""
    book(small, day=NOW.date().replace(year=2027))
    file = str(tmp_path / "club.backup")
    done = run(small, "records", "back-up", file)
    assert done.exit_code == 0, done.output
    assert f"are in {file}, and it was opened and checked." in done.stdout
    assert run(small, "records", "back-up", file).exit_code == 2
    book(small, area_key="third-2", day=NOW.date().replace(year=2027))
    refused = run(small, "records", "restore", file)
    assert (refused.exit_code, "--replace" in refused.stderr) == (2, True)
    done = run(small, "records", "restore", file, "--replace")
    assert done.exit_code == 0, done.output
    for words in (
        "Alderby Rovers is as it was at",
        "before-restore.sqlite",
        "Sessions to come that are again as they were: 0; made since, and called off: 1.",
        "Start the pages and the worker anew.",
    ):
        assert words in done.stdout


@pytest.mark.parametrize("number", [1, 2])
def test_what_a_restore_found_reads_well_by_any_number(number: int) -> None:
    """Every count stands after its words, so that one of a thing is not spoken of as many."""
    counts: dict[str, Any] = {
        field.name: number for field in fields(Found) if field.name not in {"club", "ways_in"}
    }
    found = Found(**{**counts, "is_known": True})
    said = "\n".join(_lines(Restored(None, number, None, found)))
    assert len(re.findall(rf"\b{number}[.;]", said)) == len(counts)  # the rows, and not is_known
    assert not re.search(rf"\b{number} [a-z]", said)


def test_into_an_empty_place_one_says_what_opens(small: Store, tmp_path: Path) -> None:
    """Without the word nothing is begun there; with it a program reads what was found."""
    file, place = str(tmp_path / "club.backup"), tmp_path / "new.sqlite"
    run(small, "records", "back-up", file, "--json")
    command = ["--database", address_of(place), "restore", file]
    refused = CliRunner().invoke(main, command)
    assert (refused.exit_code, "--ways-in" in refused.stderr) == (2, True)
    assert not place.exists()
    done = CliRunner().invoke(main, [*command, "--ways-in", "closed"])
    assert done.exit_code == 0, done.output
    assert "clubplanner people let-in" in done.stdout
    assert "Nothing says what was booked since" in done.stdout
    again = CliRunner().invoke(main, [*command, "--ways-in", "backup", "--replace", "--json"])
    found = json.loads(again.stdout)["found"]
    assert (found["club"], found["ways_in"]) == ("Alderby Rovers", "backup")


def test_records_that_are_damaged_are_told_what_to_do_with(small: Store, tmp_path: Path) -> None:
    """They are left where they are; nobody's last copy is moved by a program."""
    file, place = str(tmp_path / "club.backup"), tmp_path / "damaged.sqlite"
    run(small, "records", "back-up", file)
    place.write_bytes(b"not a database at all" * 500)
    command = ["--database", address_of(place), "restore", file, "--replace"]
    done = CliRunner().invoke(main, [*command, "--ways-in", "backup"])
    assert done.exit_code == 2
    assert "move their file and those beside it to another place" in done.stderr
    assert place.read_bytes().startswith(b"not a database")


def test_the_guide_tells_when_and_how(small: Store) -> None:
    """Timer and service of the timetable are printed, and the guide names both."""
    guide = run(small, "running").stdout
    for name in ("clubplanner-backup.service", "clubplanner-backup.timer"):
        assert f"`{name}`" in guide
        assert run(small, "running", name).stdout.startswith("# ")
    assert "--ways-in closed" in guide


def test_the_nightly_line_makes_a_backup_and_keeps_the_right_ones(
    small: Store, tmp_path: Path
) -> None:
    """What the service's lines do when they are run: an old day goes, an old first stays."""
    unit = (resource_folder("web") / "running" / "clubplanner-backup.service").read_text("utf-8")
    lines = [line for line in unit.splitlines() if line.startswith("ExecStart")]
    place = "/var/lib/clubplanner-backups"
    for name in ("club-2026-01-01-0330", "club-2026-01-02-0330"):
        (tmp_path / f"{name}.backup").touch()
        os.utime(tmp_path / f"{name}.backup", (time.time() - 36 * 86_400,) * 2)
    small.close()
    program = f"{sys.executable} -m clubplanner"
    for line in lines:
        command = line.partition("=")[2].replace(place, str(tmp_path)).replace("%%", "%")
        command = command.replace("/opt/clubplanner/bin/clubplanner", program)
        address = {"CLUBPLANNER_DATABASE": str(small.engine.url)}
        subprocess.run(shlex.split(command), check=True, env=environment() | address)
    names = {path.name for path in tmp_path.glob("club-*")}
    assert len(names) == 2
    assert "club-2026-01-01-0330.backup" in names
    assert "club-2026-01-02-0330.backup" not in names
