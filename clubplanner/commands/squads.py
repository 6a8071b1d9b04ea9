"""Squads that end or begin in the running season, from the command line."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from clubplanner.commands.days import DAY
from clubplanner.commands.output import json_option, say, tells_faults
from clubplanner.services.setup.squad_ends import end_squad_from
from clubplanner.services.setup.squad_ends_page import see_squad_end

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.commands.context import Context


@click.group()
def squads() -> None:
    """Squads that end or begin in the running season."""


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
def end(
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
    """Let SQUAD end: DAY is the first date without it."""
    store, now = context.open(), datetime.now(UTC)
    if look:
        foreseen = see_squad_end(store, squad, day, now).foreseen
        if foreseen is None:
            return
        words = [f"{one.words}: {one.count}, the last {one.last_day}" for one in foreseen.habits]
        words += [f"Match {one}" for one in foreseen.matches]
        words += [f"Asks of the waiting list: {foreseen.asks}"] if foreseen.asks else []
        value = {
            "sessions": foreseen.sessions,
            "matches": list(foreseen.matches),
            "asks": foreseen.asks,
            "people": foreseen.people,
            "addresses": foreseen.links,
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
