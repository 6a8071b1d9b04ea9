"""Matches from the command line: load fixtures, list them, give them ground."""

from __future__ import annotations

from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base.files_on_disk import read_file
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.errors import MissingError
from clubplanner.services.evening.fixture_rows import load_fixtures
from clubplanner.services.evening.matches import (
    call_off,
    list_matches,
    place_free_matches,
    place_match,
    see_match,
)

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context
    from clubplanner.services.evening.matches import MatchPage

NUMBER = click.IntRange(1, 2**31 - 1)


@click.group()
def matches() -> None:
    """Give matches their ground, and see whom they displace."""


@matches.command()
@click.argument("file", type=click.Path(path_type=Path))
@json_option
@click.pass_obj
@tells_faults
def load(context: Context, file: Path, as_json: bool) -> None:
    """Load a fixtures FILE (.csv, .xlsx); with any fault, all are listed and nothing is changed."""
    words = load_fixtures(context.open(), read_file(file, ".csv"))
    say(words, {"loaded": words}, as_json=as_json)


@matches.command(name="list")
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, as_json: bool) -> None:
    """List the matches ahead, with their ground."""
    lines = list_matches(context.open(), datetime.now(UTC))
    words = [
        f"{line.number}  {line.when}  {line.squad_name} v {line.opponent} ({line.game})  "
        f"{line.place or 'no ground yet'}"
        for line in lines
    ]
    value = [{**asdict(line), "day": line.day.isoformat()} for line in lines]
    say("\n".join(words) or "No match is known yet.", value, as_json=as_json)


@matches.command()
@click.argument("number", type=NUMBER)
@click.option("--choose", type=click.IntRange(1, 12), help="Take this option of the list.")
@json_option
@click.pass_obj
@tells_faults
def place(context: Context, number: int, choose: int | None, as_json: bool) -> None:
    """Show what ground does for match NUMBER; with --choose, give it that ground.

    Trainings that have to go are given the places proposed, or withdrawn where there is none.
    """
    store = context.open()
    now = datetime.now(UTC)
    page = see_match(store, number, now)
    if choose is None:
        value = {
            "match": asdict(page.line),
            "needs": page.needs,
            "options": [asdict(option) for option in page.options],
        }
        say(_options_in_words(page), value, as_json=as_json)
        return
    if choose > len(page.options):
        raise MissingError(f"There are {len(page.options)} options; choose one of them.")
    option = page.options[choose - 1]
    choice = (option.area_id, option.kick_off_min)
    displaced = see_match(store, number, now, choice).displaced
    words = place_match(store, number, choice, {d.number: d.chosen for d in displaced}, now)
    say(words, {"done": words, "displaced": [asdict(one) for one in displaced]}, as_json=as_json)


@matches.command(name="place-free")
@json_option
@click.pass_obj
@tells_faults
def place_free(context: Context, as_json: bool) -> None:
    """Give ground to every match that disturbs nobody."""
    done = place_free_matches(context.open(), datetime.now(UTC))
    say("\n".join(done) or "None can be placed so.", list(done), as_json=as_json)


@matches.command(name="call-off")
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def call_off_match(context: Context, number: int, as_json: bool) -> None:
    """Call match NUMBER off; its ground is given back."""
    words = call_off(context.open(), number, datetime.now(UTC))
    say(words, {"done": words}, as_json=as_json)


def _options_in_words(page: MatchPage) -> str:
    lines = [f"{page.line.squad_name} v {page.line.opponent}: {page.needs}"]
    for n, option in enumerate(page.options, start=1):
        displaces = f"displaces {option.displaces}" if option.displaces else "displaces nobody"
        lines.append(f"{n:>3}  {option.place}, kick-off {option.kick_off}: {displaces}")
        lines += [f"     {words}" for words in option.cautions]
    return "\n".join(lines if page.options else [*lines, "No ground does at these times."])
