"""Squads that end or begin in the running season, from the command line."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base.days import DAY
from clubplanner.commands.base.handing_out import cautions_about, tell_cautions
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.services.addresses.public_address import settle_address
from clubplanner.services.season.squad_begins import begin_squad
from clubplanner.services.season.squad_begins_page import see_squad_begin
from clubplanner.services.setup.squad_ends import end_squad_from
from clubplanner.services.setup.squad_ends_page import see_squad_end

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.commands.base.context import Context


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
    store, now = context.open(), datetime.now(UTC)
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
                "options": [option.words for option in one.options],
                "why": list(one.why),
                "would_help": list(one.would_help),
            }
            for one in page.sought
        ]
    }
    if not look:
        began = begin_squad(store, page.key, day, best, now)
        words = [began.words]
        words += [line for one in page.sought for line in (*one.why, *one.would_help)]
        if began.secret:
            settled = settle_address(context.config, store)
            address = f"{settled.public_address}/ground/{began.secret}"
            tell_cautions(cautions_about(context, store))
            words.append(f"Its address, shown only now: {address}")
            value["address"] = address
        value["done"] = began.words
    say("\n".join(words) or "It has all that it asks for.", value, as_json=as_json)
