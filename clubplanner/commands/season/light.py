"""Light from the command line."""

from __future__ import annotations

from dataclasses import asdict
from datetime import timedelta
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.days import DAY
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.season.light.in_the_dark import list_in_the_dark, offer_light
from clubplanner.services.season.light.page import see_light, set_lamp_cost

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.commands.base.context import Context


@click.group()
def light() -> None:
    """Until when there is light, and which sessions would be in the dark."""


@light.command(name="show")
@click.argument("first", type=DAY)
@click.option("--days", default=14, show_default=True, type=click.IntRange(1, 400))
@click.option("--venue", help="Key of the venue; the first one if left out.")
@json_option
@click.pass_obj
@tells_faults
def days(context: Context, first: date, days: int, venue: str | None, as_json: bool) -> None:
    """Show the light from FIRST on, a line a date."""
    page = see_light(context.open(), venue, first, first + timedelta(days=days - 1))
    words = [f"{page.venue.words}: unlit ground is used {page.margin}"]
    words += [
        f"{row.day}  unlit until {row.usable_until}  sunset {row.sunset}  "
        f"civil dusk {row.civil_dusk}  {row.lamps}".rstrip()
        for row in page.rows
    ]
    if page.lamp_cost:
        words.append(f"Floodlights: {page.lamp_hours:.1f} h, {page.lamp_cost}")
    value = {
        "venue": page.venue.value,
        "venue_name": page.venue.words,
        "margin": page.margin,
        "days": [asdict(row) for row in page.rows],
        "lamp_hours": page.lamp_hours,
        "lamp_cost": page.lamp_cost,
    }
    say("\n".join(words), value, as_json=as_json)


@light.command(name="set-cost")
@click.argument("venue")
@click.argument("per_hour")
@json_option
@click.pass_obj
@tells_faults
def cost(context: Context, venue: str, per_hour: str, as_json: bool) -> None:
    """Say that an hour of floodlights on one pitch of VENUE (its key) costs PER_HOUR."""
    words = set_lamp_cost(context.open(), venue, per_hour)
    say(words, {"done": words}, as_json=as_json)


@light.command(name="list-dark")
@click.option("--weeks", default=26, show_default=True, type=click.IntRange(1, 60))
@json_option
@click.pass_obj
@tells_faults
def dark(context: Context, weeks: int, as_json: bool) -> None:
    """List the sessions that would begin or end in the dark, with what works instead."""
    store = context.open()
    now = present.now()
    today = now.astimezone(club_zone(store)).date()
    listed = list_in_the_dark(store, today, today + timedelta(weeks=weeks), now)
    endings = offer_light(store, listed, now)
    words = []
    for ending in endings:
        words.append(f"{ending.holder}, {ending.when}, {ending.place}")
        words.append(f"  {ending.dates}: {ending.worst}")
        words += [f"  works: {offer.words}" for offer in ending.offers]
    value = [{**asdict(e), "days": [day.isoformat() for day in e.days]} for e in endings]
    say("\n".join(words) or "Nothing is in the dark.", value, as_json=as_json)
