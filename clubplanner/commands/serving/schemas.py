"""The commands that print what --json gives, as JSON Schema."""

from __future__ import annotations

import click

from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.schemas import read_schema, schema_names
from clubplanner.errors import MissingError


@click.group()
def schemas() -> None:
    """What commands print with --json, as JSON Schema (draft 2020-12)."""


@schemas.command(name="list")
@json_option
@tells_faults
def listing(as_json: bool) -> None:
    """List the commands that print JSON."""
    names = schema_names()
    say("\n".join(names), names, as_json=as_json)


@schemas.command()
@click.argument("words", nargs=-1, required=True, metavar="COMMAND...")
@tells_faults
def show(words: tuple[str, ...]) -> None:
    """Print the schema of what COMMAND, such as “squads list”, prints with --json."""
    name = " ".join(words)
    if name not in schema_names():
        raise MissingError(f"“{name}” prints no JSON; “clubplanner schemas list” names what does.")
    click.echo(read_schema(name), nl=False)
