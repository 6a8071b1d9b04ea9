"""Calendars of others from the command line."""

from __future__ import annotations

from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base.files_on_disk import read_file
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.services.calendars.busy_calendars import (
    BusyDone,
    BusyWish,
    add_busy_calendar,
    end_calendar,
    refresh_calendar,
)
from clubplanner.services.calendars.busy_pages import list_busy_calendars
from clubplanner.services.calendars.fetching import fetch_within
from clubplanner.services.rows.named import find_area_id

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group()
def busy() -> None:
    """Calendars of venues and hirers that hold our ground."""


@busy.command()
@click.argument("name")
@click.argument("pitch")
@click.argument("source")
@click.option("--area", default="whole", show_default=True, help="The area of the pitch.")
@json_option
@click.pass_obj
@tells_faults
def add(context: Context, name: str, pitch: str, source: str, area: str, as_json: bool) -> None:
    """Take in NAME's calendar, which holds PITCH, from SOURCE: an address or a file.

    What is free is booked; what would displace somebody waits on the page “Calendars”.
    """
    store = context.open()
    area_id = find_area_id(store, pitch, area)
    if "://" in source:
        wish = BusyWish(name, area_id, source)
    else:
        wish = BusyWish(name, area_id, data=read_file(Path(source)).data)
    fetch = fetch_within(context.config)
    _say(add_busy_calendar(store, wish, datetime.now(UTC), fetch), as_json=as_json)


@busy.command()
@click.argument("number", type=click.IntRange(1, 2**31 - 1))
@json_option
@click.pass_obj
@tells_faults
def read(context: Context, number: int, as_json: bool) -> None:
    """Read calendar NUMBER again, now; “serve” does it every hour."""
    fetch = fetch_within(context.config)
    done = refresh_calendar(context.open(), number, datetime.now(UTC), fetch)
    _say(done, as_json=as_json)


@busy.command(name="list")
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, as_json: bool) -> None:
    """List the calendars that are read."""
    lines = list_busy_calendars(context.open(), datetime.now(UTC))
    words = [
        f"{x.number}  {x.name}: {x.place}, {x.booked} booked, {x.waiting} waiting, {x.read}"
        for x in lines
    ]
    say("\n".join(words) or "None yet.", [asdict(line) for line in lines], as_json=as_json)


@busy.command()
@click.argument("number", type=click.IntRange(1, 2**31 - 1))
@json_option
@click.pass_obj
@tells_faults
def end(context: Context, number: int, as_json: bool) -> None:
    """Stop reading calendar NUMBER; its bookings to come are given back."""
    count = end_calendar(context.open(), number, datetime.now(UTC))
    say(f"{count} bookings given back.", {"given_back": count}, as_json=as_json)


def _say(done: BusyDone, *, as_json: bool) -> None:
    say(
        "\n".join((f"{done.number}  {done.sentence}", *done.problems)),
        asdict(done),
        as_json=as_json,
    )
