"""The command that prints what whoever runs the planner puts into its place."""

from __future__ import annotations

import click

from clubplanner.commands.base.output import tells_faults
from clubplanner.errors import RefusedError
from clubplanner.resources import resource_folder

GUIDE = "running.md"


@click.command()
@click.argument("name", default=GUIDE)
@tells_faults
def running(name: str) -> None:
    """Print how to run the planner for years, or a file that goes with it.

    NAME is one of the files that the guide names, such as clubplanner.service.
    """
    files = {path.name: path for path in sorted((resource_folder("web") / "running").iterdir())}
    if name not in files:
        raise RefusedError(f"There is no “{name}”; there are {', '.join(files)}.")
    click.echo(files[name].read_text(encoding="utf-8"), nl=False)
