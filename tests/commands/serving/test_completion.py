"""Shells complete commands, options and files, at once."""

from __future__ import annotations

import shutil
import subprocess
import sys

import pytest
from click.testing import CliRunner

from clubplanner.commands import main
from tests.commands.test_root import HEAVY


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_each_shell_is_told_how_to_complete(shell: str) -> None:
    """What is printed defines the completion of “clubplanner”, and the shell takes it if here."""
    done = CliRunner().invoke(main, ["completion", shell])
    assert done.exit_code == 0
    assert "_CLUBPLANNER_COMPLETE" in done.output
    assert "clubplanner" in done.output
    program = shutil.which(shell)
    if program is not None:
        read = subprocess.run([program, "-n"], input=done.output, text=True, check=False)
        assert read.returncode == 0


def complete(*words: str) -> tuple[list[str], list[str]]:
    """Return what bash is offered after some words, and what heavy was loaded for it."""
    program = (
        "import sys\n"
        "from clubplanner.commands import main\n"
        "try:\n"
        "    main(prog_name='clubplanner')\n"
        "finally:\n"
        f"    print(*sorted(set({HEAVY!r}) & set(sys.modules)), file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program],
        env={
            "_CLUBPLANNER_COMPLETE": "bash_complete",
            "COMP_WORDS": " ".join(["clubplanner", *words]),
            "COMP_CWORD": str(len(words)),
        },
        capture_output=True,
        text=True,
        check=False,
    )
    return [line.partition(",")[2] for line in done.stdout.splitlines()], done.stderr.split()


def test_commands_are_completed_without_loading_them() -> None:
    """A noun is completed before anything is imported; then its verbs, and their options."""
    assert complete("sq") == (["squads"], [])
    assert complete("fit", "p")[0] == ["pieces"]
    assert "--ground" in complete("fit", "pieces", "--g")[0]
