"""Give and take from the command line, as the secretary."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.days import DAY
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.ranges import NUMBER
from clubplanner.commands.base.secretary import SECRETARY
from clubplanner.commands.base.times import CLOCK
from clubplanner.services.giving.requests import (
    SessionAsk,
    ask_for_more,
    ask_for_session,
)
from clubplanner.services.giving.swap_pages import list_swaps
from clubplanner.services.giving.waiting_list import list_asks, refuse_ask, serve_waiting

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.commands.base.context import Context


@click.group()
def asks() -> None:
    """What coaches ask for and give back: sessions, more ground, changes of places."""


@asks.command(name="list")
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, as_json: bool) -> None:
    """List who waits, in fair order, what was decided, and offers to change places."""
    store = context.open()
    now = present.now()
    lines, swaps = list_asks(store, now), list_swaps(store, SECRETARY, now)
    words = [
        f"{line.number}  {line.state.value}: {line.squad_name}, {line.words}. {line.answer}".strip()
        for line in lines
    ]
    words += [f"swap {swap.number}: {swap.own} for {swap.other}, by {swap.by}" for swap in swaps]
    value = {
        "asks": [asdict(line) for line in lines],
        "swaps": [asdict(swap) for swap in swaps],
    }
    say("\n".join(words) or "Nobody waits.", value, as_json=as_json)


@asks.command(name="add")
@click.argument("squad")
@click.argument("day", type=DAY)
@click.argument("start", type=CLOCK)
@click.argument("end", type=CLOCK)
@click.option("--minutes", default=60, show_default=True, type=click.IntRange(15, 240))
@click.option("--part", default=0.0, type=click.FloatRange(0, 1), help="Least part of a pitch.")
@json_option
@click.pass_obj
@tells_faults
def session(
    context: Context,
    squad: str,
    day: date,
    start: int,
    end: int,
    minutes: int,
    part: float,
    as_json: bool,
) -> None:
    """Ask for a session of SQUAD (its key) on DAY between START and END."""
    wish = SessionAsk(squad, day, start, end, minutes, part)
    words = ask_for_session(context.open(), SECRETARY, wish, present.now())
    say(words, {"done": words}, as_json=as_json)


@asks.command(name="add-ground")
@click.argument("booking", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def more(context: Context, booking: int, as_json: bool) -> None:
    """Ask for more ground for the session of booking number BOOKING."""
    words = ask_for_more(context.open(), SECRETARY, booking, "", present.now())
    say(words, {"done": words}, as_json=as_json)


@asks.command()
@json_option
@click.pass_obj
@tells_faults
def serve(context: Context, as_json: bool) -> None:
    """Serve the waiting list by fair turn."""
    done = serve_waiting(context.open(), present.now())
    say("\n".join(done) or "Nobody who waits can be served now.", list(done), as_json=as_json)


@asks.command()
@click.argument("number", type=NUMBER)
@click.argument("answer", default="")
@json_option
@click.pass_obj
@tells_faults
def refuse(context: Context, number: int, answer: str, as_json: bool) -> None:
    """Refuse ask NUMBER, with an ANSWER for the coach."""
    words = refuse_ask(context.open(), number, answer)
    say(words, {"done": words}, as_json=as_json)
