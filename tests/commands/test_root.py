"""What the command says of itself, and that it says it at once."""

from __future__ import annotations

import subprocess
import sys

import click
import pytest

from clubplanner.commands.root import WHERE, main

HEAVY = ("alembic", "flask", "icalendar", "openpyxl", "ortools", "pandas", "sqlalchemy", "typst")
"""Each takes a tenth of a second to import, or whole ones."""


@pytest.mark.parametrize("name", sorted(WHERE))
def test_help_tells_what_each_command_tells_of_itself(name: str) -> None:
    """What the list reads from a command's source are the words the command has for itself."""
    context = click.Context(
        main, info_name="clubplanner", max_content_width=400, terminal_width=400
    )
    command = main.get_command(context, name)
    assert command is not None
    said = command.get_short_help_str(300)
    assert said
    lines = [" ".join(line.split()) for line in main.get_help(context).splitlines()]
    assert f"{name} {said}" in lines


@pytest.mark.parametrize(
    "arguments",
    [
        ["--help"],
        ["fit", "--help"],
        ["fit", "pieces", "--ground", "60x40", "--piece", "9x5"],
        ["fit", "sessions", "--ground", "60x40", "--players", "12"],
    ],
    ids=" ".join,
)
def test_what_needs_no_records_loads_no_store(arguments: list[str]) -> None:
    """Help and what fits answer without the store, the pages, the optimiser or the typesetter."""
    program = (
        "import sys\n"
        "from clubplanner.commands import main\n"
        "try:\n"
        f"    main({arguments!r})\n"
        "except SystemExit as end:\n"
        "    assert end.code == 0, end.code\n"
        f"print(*sorted(set({HEAVY!r}) & set(sys.modules)), file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False
    )
    assert done.stderr.strip() == ""
    assert done.returncode == 0
