"""The README's commands are the ones the gate runs, and its pictures and links are there."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
GATE = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
ALLOWED = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "clubplanner",
    "web",
    "tests",
    "seed_data",
}


def test_both_commands_of_the_readme_are_run_by_the_gate() -> None:
    """The gate runs the README's two commands as they stand there, the second in its two parts."""
    first, second = re.findall(r"```sh\n(.+?)\n```", README)[:2]
    assert first.replace("pip install", "pip install -q") in GATE
    install, test = second.split(" && ")
    lines = GATE.splitlines()
    assert lines.index(install) < lines.index(test)


def test_every_file_the_readme_points_to_is_there() -> None:
    """Pictures and links to files of this checkout lead somewhere."""
    targets = re.findall(r"\]\(([^)#]+)\)", README)
    local = [target for target in targets if "://" not in target]
    assert local
    assert all((ROOT / target).exists() for target in local)


def test_the_top_level_holds_what_was_agreed_and_nothing_else() -> None:
    """What git knows at the top level is on the list, dotfiles aside."""
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split("\n")
    names = {line.partition("/")[0] for line in listed if line}
    assert {name for name in names if not name.startswith(".")} <= ALLOWED
