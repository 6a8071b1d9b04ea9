"""Matches from the command line: load fixtures, list and change them, give them ground."""

from __future__ import annotations

from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.coming_back import return_line, returns_as_json
from clubplanner.commands.base.days import DAY
from clubplanner.commands.base.files_on_disk import read_file
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.ranges import NUMBER
from clubplanner.domain.times.times import minute_from_clock
from clubplanner.errors import MissingError, RefusedError
from clubplanner.services.evening.matches.booking import (
    list_matches,
    place_free_matches,
    place_match,
    see_match,
)
from clubplanner.services.evening.matches.changes import (
    bring_back_for,
    call_off,
    change_match,
    see_made_way,
)
from clubplanner.services.evening.matches.fixture_rows import (
    line_from_fixture,
    list_match_formats,
    load_fixtures,
)
from clubplanner.services.places.coming_back import chosen_of

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.commands.base.context import Context
    from clubplanner.services.evening.matches.booking import MatchPage


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
    lines = list_matches(context.open(), present.now())
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
    now = present.now()
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
    done = place_free_matches(context.open(), present.now())
    say("\n".join(done) or "None can be placed so.", list(done), as_json=as_json)


@matches.command()
@click.argument("number", type=NUMBER)
@click.option("--date", "day", type=DAY, help="Another date.")
@click.option("--kick-off", help="Another kick-off, like 14:00, or the earliest.")
@click.option("--latest-kick-off", help="The latest kick-off; with --kick-off alone it is set.")
@click.option("--minutes", type=click.IntRange(5, 300), help="Half-time among them.")
@click.option("--format", "game", help="Another form of the game.")
@click.option("--opponent", help="Who comes instead.")
@click.option("--officials", help="Who referees, and when they come.")
@click.option("--opponents", help="When the opponents come, how to reach them.")
@click.option("--note", help="What else people should know.")
@json_option
@click.pass_obj
@tells_faults
def change(
    context: Context,
    number: int,
    day: date | None,
    kick_off: str | None,
    latest_kick_off: str | None,
    minutes: int | None,
    game: str | None,
    opponent: str | None,
    officials: str | None,
    opponents: str | None,
    note: str | None,
    as_json: bool,
) -> None:
    """Change match NUMBER; what is left out stays.

    At another time it keeps its ground where that is free, and gives it back where it is not.
    """
    store, now = context.open(), present.now()
    fixture = see_match(store, number, now).fixture
    earliest = fixture.kick_off_from if kick_off is None else _minute(kick_off)
    latest = earliest if kick_off is not None else fixture.kick_off_to
    if latest_kick_off is not None:
        latest = _minute(latest_kick_off)
    if latest < earliest:
        raise RefusedError("The latest kick-off must not come before the earliest.")
    line = replace(
        line_from_fixture(fixture),
        day=day or fixture.day,
        kick_off_from=earliest,
        kick_off_to=latest,
        opponent=fixture.opponent if opponent is None else opponent.strip(),
        format_code=game or fixture.format_code,
        minutes=minutes or fixture.minutes,
        officials=fixture.officials if officials is None else officials.strip(),
        opponents=fixture.opponents if opponents is None else opponents.strip(),
        note=fixture.note if note is None else note.strip(),
    )
    if line.format_code not in dict(list_match_formats(store)):
        raise MissingError(f"There is no form of the game “{line.format_code}”.")
    done = change_match(store, number, line, now)
    returns = see_made_way(store, number, now).returns
    lines = [done, *(return_line(one) for one in returns)]
    if any(one.can for one in returns):
        lines.append(f"Bring them back with: clubplanner matches bring-back {number}")
    say("\n".join(lines), {"done": done, "returns": returns_as_json(returns)}, as_json=as_json)


@matches.command(name="bring-back")
@click.argument("number", type=NUMBER)
@click.option("--only", multiple=True, type=NUMBER, help="A session by number; else all that can.")
@json_option
@click.pass_obj
@tells_faults
def bring_back(context: Context, number: int, only: tuple[int, ...], as_json: bool) -> None:
    """Bring back who made way for match NUMBER, where it gave its ground back."""
    store, now = context.open(), present.now()
    shown = see_made_way(store, number, now)
    back = chosen_of(shown.returns, only or None)
    words = bring_back_for(store, number, now, back)
    say(words, {"done": words}, as_json=as_json)


@matches.command(name="call-off")
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def call_off_match(context: Context, number: int, as_json: bool) -> None:
    """Call match NUMBER off; its ground is given back."""
    store, now = context.open(), present.now()
    words = call_off(store, number, now)
    if see_made_way(store, number, now).can_bring_back:
        hint = f"Bring back who made way with: clubplanner matches bring-back {number}"
        say(f"{words}\n{hint}", {"done": words}, as_json=as_json)
        return
    say(words, {"done": words}, as_json=as_json)


def _minute(text: str) -> int:
    try:
        return minute_from_clock(text)
    except ValueError as fault:
        raise RefusedError(str(fault)) from fault


def _options_in_words(page: MatchPage) -> str:
    lines = [f"{page.line.squad_name} v {page.line.opponent}: {page.needs}"]
    for n, option in enumerate(page.options, start=1):
        displaces = f"displaces {option.displaces}" if option.displaces else "displaces nobody"
        lines.append(f"{n:>3}  {option.place}, kick-off {option.kick_off}: {displaces}")
        lines += [f"     {words}" for words in option.cautions]
    return "\n".join(lines if page.options else [*lines, "No ground does at these times."])
