"""Grounds from the command line: what there is, as a file, and what a file would change."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base.files_on_disk import read_file, write_file
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.errors import MissingError
from clubplanner.services.setup.ground_files import foresee_grounds, grounds_file
from clubplanner.services.setup.ground_forms import see_grounds

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group()
def grounds() -> None:
    """Venues and pitches; they are loaded with “clubplanner load”."""


@grounds.command("list")
@json_option
@click.pass_obj
@tells_faults
def list_grounds(context: Context, as_json: bool) -> None:
    """List every venue with its pitches."""
    venues = see_grounds(context.open())
    words = []
    for venue in venues:
        words.append(venue.name)
        words += [f"  {pitch.name}: {pitch.facts}; {pitch.parts}" for pitch in venue.pitches]
    value = [
        {
            "key": venue.key,
            "name": venue.name,
            "pitches": [{"key": pitch.key, "name": pitch.name} for pitch in venue.pitches],
        }
        for venue in venues
    ]
    say("\n".join(words) or "There is no venue yet.", value, as_json=as_json)


@grounds.command("file")
@click.argument("venue")
@click.option("--output", type=click.Path(path_type=Path), help="Where to; default: the screen.")
@click.pass_obj
@tells_faults
def write_grounds_file(context: Context, venue: str, output: Path | None) -> None:
    """Write a venue's pitches as the GeoJSON file they could be loaded from."""
    store = context.open()
    wanted = next((v.key for v in see_grounds(store) if venue in (v.key, v.name)), None)
    if wanted is None:
        raise MissingError(f"There is no venue “{venue}”; “clubplanner grounds list” names them.")
    data = grounds_file(store, wanted)
    if output is None:
        click.echo(data.decode())
    else:
        write_file(output, data)
        click.echo(f"Written: {output}")


@grounds.command("look")
@click.argument("file", type=click.Path(path_type=Path))
@json_option
@click.pass_obj
@tells_faults
def look(context: Context, file: Path, as_json: bool) -> None:
    """Say what loading a grounds file would change; nothing is changed."""
    foreseen = foresee_grounds(context.open(), read_file(file), datetime.now(UTC))
    words = [f"{pitch.name}: {pitch.what}" for pitch in foreseen.pitches]
    value = {
        "venue": foreseen.venue_name,
        "pitches": [{"name": pitch.name, "what": pitch.what} for pitch in foreseen.pitches],
    }
    say("\n".join(words), value, as_json=as_json)
