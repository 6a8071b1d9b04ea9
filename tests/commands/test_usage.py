"""What was mistyped is told in plain words, and as JSON where a program reads."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from clubplanner.commands import main


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("concerns list --weeks 0", "Write --weeks as a whole number from 1 to 60."),
        ("concerns list --weeks soon", "Write --weeks as a whole number from 1 to 60."),
        ("share-out run x --seconds much", "Write --seconds as a number from 1 to 86400."),
        ("evenings show 2026-11-25 now", "“now” is not a time; write it like 2026-11-24T18:00"),
        ("light show someday", "FIRST: “someday” is not a date; write it like 2026-11-25"),
        ("completion cmd", "Write SHELL as one of bash, zsh, fish."),
        ("squads show", "Write SQUAD as well."),
        ("hires add X Y", "Write --first as well."),
        ("squads list --what", "There is no option --what here."),
        ("squads list x", "“x” is too much here;"),
        ("fit sessions --ground", "Write a value after --ground."),
        (
            "bookings add Hall 2026-11-25 late 19:00",
            "START: “late” is not a time of day; write it like 17:30",
        ),
    ],
)
def test_mistyped_words_are_told_plainly(typed: str, told: str) -> None:
    """Exit code 2; no formats, no types of a programming language."""
    done = CliRunner().invoke(main, typed.split())
    assert done.exit_code == 2
    assert told in done.stderr
    assert done.stdout == ""
    for word in ("Invalid", "%Y", "integer range", "Traceback", "'"):
        assert word not in done.stderr


def test_a_program_reads_its_faults_as_json_on_standard_error() -> None:
    """With --json what was mistyped has its place, and standard output stays empty."""
    done = CliRunner().invoke(main, ["concerns", "list", "--weeks", "0", "--json"])
    body = json.loads(done.stderr)
    assert (done.exit_code, done.stdout) == (2, "")
    assert body["problems"] == [
        {
            "where": "--weeks",
            "code": "usage",
            "message": "Write --weeks as a whole number from 1 to 60.",
        }
    ]
    assert body["error"] == body["problems"][0]["message"]


def test_a_command_that_is_not_there_is_told() -> None:
    """Whatever was typed is repeated, and help is named."""
    done = CliRunner().invoke(main, ["squad", "list"])
    assert done.exit_code == 2
    assert "squad" in done.stderr
    assert "--help" in done.stderr
