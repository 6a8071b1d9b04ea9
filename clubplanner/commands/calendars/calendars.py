"""Calendars from the command line: those of others taken in, our own as files."""

from __future__ import annotations

from dataclasses import asdict
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
from clubplanner.commands.base.ranges import NUMBER
from clubplanner.services.calendars.busy_calendars import (
    BusyDone,
    BusyWish,
    add_busy_calendar,
    end_calendar,
    refresh_calendar,
)
from clubplanner.services.calendars.busy_pages import list_busy_calendars
from clubplanner.services.calendars.calendar_links import LinkKind
from clubplanner.services.calendars.feeds import export_feed
from clubplanner.services.calendars.fetching import fetch_within
from clubplanner.services.rows.named import find_area_id

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group()
def calendars() -> None:
    """Calendars of venues and hirers that hold our ground, and our own as files."""


@calendars.command()
@click.argument("name")
@click.argument("pitch")
@click.argument("source")
@click.option("--area", default="whole", show_default=True, help="The area of the pitch.")
@json_option
@click.pass_obj
@tells_faults
def add(context: Context, name: str, pitch: str, source: str, area: str, as_json: bool) -> None:
    """Take in NAME's calendar, which holds PITCH, from SOURCE: an address or a file.

    “-” is standard input. What is free is booked; what would displace somebody waits on the page
    “Calendars”.
    """
    store = context.open()
    area_id = find_area_id(store, pitch, area)
    if "://" in source:
        wish = BusyWish(name, area_id, source)
    else:
        wish = BusyWish(name, area_id, data=read_file(Path(source), ".ics").data)
    fetch = fetch_within(context.config)
    _say(add_busy_calendar(store, wish, present.now(), fetch), as_json=as_json)


@calendars.command()
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def read(context: Context, number: int, as_json: bool) -> None:
    """Read calendar NUMBER again, now; “serve” does it every hour."""
    fetch = fetch_within(context.config)
    done = refresh_calendar(context.open(), number, present.now(), fetch)
    _say(done, as_json=as_json)


@calendars.command(name="list")
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, as_json: bool) -> None:
    """List the calendars that are read."""
    lines = list_busy_calendars(context.open(), present.now())
    words = [
        f"{x.number}  {x.name}: {x.place}, {x.booked} booked, {x.waiting} waiting, {x.read}"
        for x in lines
    ]
    say("\n".join(words) or "None yet.", [asdict(line) for line in lines], as_json=as_json)


@calendars.command()
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def withdraw(context: Context, number: int, as_json: bool) -> None:
    """Stop reading calendar NUMBER; its bookings to come are given back."""
    count = end_calendar(context.open(), number, present.now())
    say(f"{count} bookings given back.", {"given_back": count}, as_json=as_json)


@calendars.command()
@click.argument("kind", type=click.Choice([kind.value for kind in LinkKind]))
@click.argument("subject")
@output_option
@json_option
@click.pass_obj
@tells_faults
def export(context: Context, kind: str, subject: str, output: Path, as_json: bool) -> None:
    """Write the calendar of SUBJECT, a squad, a coach or a pitch by key or name, as a file.

    It is as it stands now, with the same entries as behind an address, but leads to no page: no
    address is made for it. “addresses add” makes one for programs that follow a calendar.
    """
    refuse_both_on_output(output, as_json=as_json)
    file = export_feed(context.open(), LinkKind(kind), subject, present.now())
    write_file(output, file.data)
    if output != STANDARD:
        value = {"file": str(output), "entries": len(file.feed.events)}
        say(f"Written: {output}, {value['entries']} entries.", value, as_json=as_json)


def _say(done: BusyDone, *, as_json: bool) -> None:
    say(
        "\n".join((f"{done.number}  {done.sentence}", *done.problems)),
        asdict(done),
        as_json=as_json,
    )
