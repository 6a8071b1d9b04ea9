"""Grounds from the command line: what there is, as a file, and what a file would change."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.files_on_disk import (
    STANDARD,
    read_file,
    refuse_both_on_output,
    write_file,
)
from clubplanner.commands.base.output import json_option, output_option, say, tells_faults
from clubplanner.domain.club.comparing_names import is_called
from clubplanner.errors import MissingError
from clubplanner.services.setup.grounds.files import foresee_grounds, grounds_file
from clubplanner.services.setup.grounds.forms import see_grounds
from clubplanner.services.setup.loading import load_files

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group()
def grounds() -> None:
    """Venues and pitches, and the files they come from."""


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
            "address": venue.address,
            "pitches": [
                {"key": p.key, "name": p.name, "facts": p.facts, "parts": p.parts}
                for p in venue.pitches
            ],
        }
        for venue in venues
    ]
    say("\n".join(words) or "There is no venue yet.", value, as_json=as_json)


@grounds.command()
@click.argument("venue")
@output_option
@json_option
@click.pass_obj
@tells_faults
def export(context: Context, venue: str, output: Path, as_json: bool) -> None:
    """Write a venue's pitches as the GeoJSON file they could be loaded from."""
    refuse_both_on_output(output, as_json=as_json)
    store = context.open()
    wanted = next((v.key for v in see_grounds(store) if is_called(venue, v.key, v.name)), None)
    if wanted is None:
        raise MissingError(f"There is no venue “{venue}”; “clubplanner grounds list” names them.")
    write_file(output, grounds_file(store, wanted))
    if output != STANDARD:
        say(f"Written: {output}", {"file": str(output)}, as_json=as_json)


@grounds.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--look", is_flag=True, help="Only say what would change; change nothing.")
@json_option
@click.pass_obj
@tells_faults
def load(context: Context, file: Path, look: bool, as_json: bool) -> None:
    """Load a grounds FILE (.geojson) of one venue; pitches that it leaves out stay as they are."""
    store, now = context.open(), present.now()
    read = read_file(file, ".geojson")
    foreseen = foresee_grounds(store, read, now)
    words = [f"{pitch.name}: {pitch.what}" for pitch in foreseen.pitches]
    loaded: list[str] = []
    if not look:
        loaded = list(load_files(store, [read], now).lines)
        words += [f"Loaded {line}." for line in loaded]
    value = {
        "venue": foreseen.venue_name,
        "pitches": [{"name": pitch.name, "what": pitch.what} for pitch in foreseen.pitches],
        "loaded": loaded,
    }
    say("\n".join(words), value, as_json=as_json)
