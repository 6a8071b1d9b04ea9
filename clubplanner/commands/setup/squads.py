"""Squads from the command line: listed, typed, as a file, beginning and ending."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.days import DAY
from clubplanner.commands.base.files_on_disk import STANDARD, refuse_both_on_output, write_file
from clubplanner.commands.base.handing_out import cautions_about, tell_cautions
from clubplanner.commands.base.output import json_option, output_option, say, tells_faults
from clubplanner.errors import MissingError, RefusedError
from clubplanner.inputs.club_files.squads_file.squads import ASK_COLUMNS, SQUAD_COLUMNS
from clubplanner.services.addresses.public_address import settle_address
from clubplanner.services.rows.named import find_squad_key
from clubplanner.services.season.squads.begins import begin_squad
from clubplanner.services.season.squads.begins_page import see_squad_begin
from clubplanner.services.setup.squads.ends import end_squad_from
from clubplanner.services.setup.squads.ends_page import see_squad_end
from clubplanner.services.setup.squads.forms import (
    drop_asks,
    save_squad,
    see_squad_form,
    write_squads_file,
)
from clubplanner.services.setup.squads.page import see_squads

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date
    from pathlib import Path

    from clubplanner.commands.base.context import Context
    from clubplanner.services.setup.squads.forms import SquadForm
    from clubplanner.services.setup.squads.page import SquadShown

MOST_ASKS = 9


@click.group()
def squads() -> None:
    """Squads and what they ask for, and those that begin or end in the running season."""


@squads.command(name="list")
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, as_json: bool) -> None:
    """List the squads with what they ask for."""
    shown = see_squads(context.open(), present.now()).squads
    words = []
    for one in shown:
        about = f"{one.squad.name} ({one.squad.key})"
        parts = [about, one.squad.age_group, f"{one.squad.players} players", one.squad.coach]
        parts.append(f"{one.coming} bookings to come, {one.links} addresses")
        parts += [f"without it from {one.ends}"] if one.ends else []
        words.append("; ".join(filter(None, parts)))
        words += [f"  {ask}" for ask in one.asks]
    value = [_squad_value(one) for one in shown]
    say("\n".join(words) or "There is no squad yet.", value, as_json=as_json)


@squads.command()
@click.argument("squad")
@json_option
@click.pass_obj
@tells_faults
def show(context: Context, squad: str, as_json: bool) -> None:
    """Show SQUAD in the words of the squads file: a squad's columns, then those of each ask."""
    store = context.open()
    key = find_squad_key(store, squad)
    form = see_squad_form(store, key)
    words = _cells_in_words(form.squad)
    for number, ask in enumerate(form.asks, 1):
        words += [f"Ask {number}:", *(f"  {line}" for line in _cells_in_words(ask))]
    words += [form.ending] if form.ending else []
    say("\n".join(words), _form_value(key, form), as_json=as_json)


_set_option = click.option(
    "--set",
    "cells",
    multiple=True,
    metavar="COLUMN=VALUE",
    help="A column of the squads file and what stands in it, such as “players=14”; again for more.",
)


@squads.command()
@click.argument("name")
@_set_option
@json_option
@click.pass_obj
@tells_faults
def add(context: Context, name: str, cells: tuple[str, ...], as_json: bool) -> None:
    """Add the squad NAME with what it asks for; “squads change --ask 2” adds another ask."""
    store = context.open()
    squad, ask = _read_cells(cells)
    form = see_squad_form(store, "")
    key = save_squad(
        store,
        "",
        {**dict.fromkeys(SQUAD_COLUMNS, ""), **squad, "squad": name},
        [{**dict.fromkeys(ASK_COLUMNS, ""), **ask}],
        form.seen,
        present.now(),
    )
    say(f"Added: {name} ({key}).", _form_value(key, see_squad_form(store, key)), as_json=as_json)


@squads.command()
@click.argument("squad")
@_set_option
@click.option(
    "--ask",
    "number",
    default=1,
    show_default=True,
    type=click.IntRange(1, MOST_ASKS),
    help="Of which ask the columns of asks are; one more than there are adds one.",
)
@click.option("--withdraw-ask", type=click.IntRange(1, MOST_ASKS), help="Take this ask out.")
@json_option
@click.pass_obj
@tells_faults
def change(
    context: Context,
    squad: str,
    cells: tuple[str, ...],
    number: int,
    withdraw_ask: int | None,
    as_json: bool,
) -> None:
    """Change SQUAD or what it asks for; columns that are left out stay as they are."""
    store, now = context.open(), present.now()
    key = find_squad_key(store, squad)
    form = see_squad_form(store, key)
    asks = [dict(one) for one in form.asks]
    told, of_ask = _read_cells(cells)
    if of_ask:
        if number > len(asks) + 1:
            raise MissingError(f"There are {len(asks)} asks; the next one is {len(asks) + 1}.")
        if number > len(asks):
            asks.append(dict.fromkeys(ASK_COLUMNS, ""))
        asks[number - 1] |= of_ask
    if withdraw_ask is not None:
        if withdraw_ask > len(asks):
            raise MissingError(f"There are {len(asks)} asks; choose one of them.")
        del asks[withdraw_ask - 1]
    if not asks:
        if told:
            raise RefusedError("A squad is changed while it asks for something; add an ask too.")
        name = drop_asks(store, key, form.seen, now)
    else:
        about = {**dict.fromkeys(SQUAD_COLUMNS, ""), **form.squad, **told}
        key = save_squad(store, key, about, asks, form.seen, now)
        name = see_squad_form(store, key).name
    after = see_squad_form(store, key)
    say(f"Changed: {name} ({key}).", _form_value(key, after), as_json=as_json)


@squads.command()
@output_option
@json_option
@click.pass_obj
@tells_faults
def export(context: Context, output: Path, as_json: bool) -> None:
    """Write every squad that asks for something as the squads file it could be loaded from."""
    refuse_both_on_output(output, as_json=as_json)
    write_file(output, write_squads_file(context.open()))
    if output != STANDARD:
        say(f"Written: {output}", {"file": str(output)}, as_json=as_json)


@squads.command()
@click.argument("squad")
@click.argument("day", type=DAY)
@click.option("--why", default="", help="For whoever came to it.")
@click.option("--goes-on-in", default="", help="The squad that its players go to.")
@click.option("--keep-matches", is_flag=True, help="Its matches are played all the same.")
@click.option("--no-mails", is_flag=True, help="Leave what is further ahead to calendars.")
@click.option("--look", is_flag=True, help="Say what would go, and change nothing.")
@json_option
@click.pass_obj
@tells_faults
def withdraw(
    context: Context,
    squad: str,
    day: date,
    why: str,
    goes_on_in: str,
    keep_matches: bool,
    no_mails: bool,
    look: bool,
    as_json: bool,
) -> None:
    """Let SQUAD end: DAY is the first date without it; what it had is kept."""
    store, now = context.open(), present.now()
    if look:
        foreseen = see_squad_end(store, squad, day, now).foreseen
        if foreseen is None:  # only where no date is given
            raise RefusedError("Give the first date without it.")
        words = [f"{one.words}: {one.count}, the last {one.last_day}" for one in foreseen.habits]
        words += [f"Match {one}" for one in foreseen.matches]
        words += [f"Asks of the waiting list: {foreseen.asks}"] if foreseen.asks else []
        value: dict[str, object] = {
            "habits": [asdict(one) for one in foreseen.habits],
            "sessions": foreseen.sessions,
            "matches": list(foreseen.matches),
            "asks": foreseen.asks,
            "people": foreseen.people,
            "addresses": foreseen.links,
            "done": None,
        }
        say("\n".join(words) or "Nothing would go.", value, as_json=as_json)
        return
    done = end_squad_from(
        store,
        squad,
        day,
        now,
        why=why,
        goes_on_in=goes_on_in,
        keeps_matches=keep_matches,
        mails=not no_mails,
    )
    say(done, {"done": done}, as_json=as_json)


@squads.command()
@click.argument("squad")
@click.argument("day", type=DAY)
@click.option("--look", is_flag=True, help="Say what is free, and change nothing.")
@json_option
@click.pass_obj
@tells_faults
def begin(context: Context, squad: str, day: date, look: bool, as_json: bool) -> None:
    """Let SQUAD begin on DAY: book the best that is free for what it asks for.

    To choose among all that is free, use the page.
    """
    store, now = context.open(), present.now()
    page = see_squad_begin(store, squad, day, now)
    words = []
    for sought in page.sought:
        words += [f"{one.words}: {one.count} dates" for one in sought.options]
        words += [*sought.why, *sought.would_help]
    best = [sought.options[0].value for sought in page.sought if sought.options]
    value: dict[str, object] = {
        "sought": [
            {
                "asks": one.words,
                "options": [
                    {"words": option.words, "dates": option.count} for option in one.options
                ],
                "why": list(one.why),
                "would_help": list(one.would_help),
            }
            for one in page.sought
        ],
        "address": None,
        "cautions": [],
        "done": None,
    }
    if not look:
        began = begin_squad(store, page.key, day, best, now)
        words = [began.words]
        words += [line for one in page.sought for line in (*one.why, *one.would_help)]
        if began.secret:
            settled = settle_address(context.config, store)
            address = f"{settled.public_address}/ground/{began.secret}"
            cautions = cautions_about(context, store)
            tell_cautions([] if as_json else cautions)
            words.append(f"Its address, shown only now: {address}")
            value |= {"address": address, "cautions": cautions}
        value["done"] = began.words
    say("\n".join(words) or "It has all that it asks for.", value, as_json=as_json)


def _read_cells(cells: tuple[str, ...]) -> tuple[dict[str, str], dict[str, str]]:
    """Read “COLUMN=VALUE” and part the columns of a squad from those of its asks."""
    squad: dict[str, str] = {}
    ask: dict[str, str] = {}
    for cell in cells:
        column, equals, value = cell.partition("=")
        column = column.strip().casefold()
        if not equals or column not in (*SQUAD_COLUMNS, *ASK_COLUMNS):
            columns = ", ".join((*SQUAD_COLUMNS, *ASK_COLUMNS))
            raise RefusedError(f"“{cell}” sets no column; write COLUMN=VALUE, with: {columns}.")
        (squad if column in SQUAD_COLUMNS else ask)[column] = value.strip()
    return squad, ask


def _cells_in_words(cells: Mapping[str, str]) -> list[str]:
    return [f"{column}: {value}" for column, value in cells.items() if value]


def _squad_value(one: SquadShown) -> dict[str, object]:
    return {
        "key": one.squad.key,
        "name": one.squad.name,
        "age_group": one.squad.age_group,
        "players": one.squad.players,
        "goalkeepers": one.squad.goalkeepers,
        "coach": one.squad.coach,
        "assistants": [coach.name for coach in one.squad.assistants],
        "club": one.squad.club,
        "asks": list(one.asks),
        "coming": one.coming,
        "addresses": one.links,
        "ends": one.ends,
    }


def _form_value(key: str, form: SquadForm) -> dict[str, object]:
    return {
        "key": key,
        "name": form.name,
        "squad": dict(form.squad),
        "asks": [dict(ask) for ask in form.asks],
        "ending": form.ending,
    }
