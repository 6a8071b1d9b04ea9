"""Closing and opening ground from the command line."""

from __future__ import annotations

from dataclasses import asdict
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from clubplanner.commands.days import DAY
from clubplanner.commands.output import json_option, say, tells_faults
from clubplanner.domain.booked.closures import Condition, range_until
from clubplanner.domain.times.times import MINUTES_A_DAY, minute_from_clock
from clubplanner.errors import RefusedError
from clubplanner.services.evening.closures import (
    ClosureWish,
    all_withdrawn,
    close_ground,
    foresee_closure,
)
from clubplanner.services.evening.reopening import reopen_ground
from clubplanner.services.places.closure_list import list_closures
from clubplanner.services.rows.club import club_zone
from clubplanner.services.rows.named import find_area_id

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.commands.context import Context


@click.group()
def closures() -> None:
    """Close ground, at once or planned, and open it again."""


@closures.command(name="list")
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, as_json: bool) -> None:
    """List what is closed or open with a condition, now and ahead."""
    lines = list_closures(context.open(), datetime.now(UTC))
    words = [f"{line.number}  {line.when}  {line.words}" for line in lines]
    say(
        "\n".join(words) or "All ground is open.",
        [asdict(line) for line in lines],
        as_json=as_json,
    )


@closures.command()
@click.argument("pitch")
@click.argument("reason")
@click.option("--area", default="whole", show_default=True, help="Key or name of the part.")
@click.option("--on", "first", type=DAY, help="First date; today if left out.")
@click.option("--from", "start", help="Time of day; now if left out.")
@click.option("--until-date", "last", type=DAY, help="Last date; the first one if left out.")
@click.option("--until", "end", default="24:00", show_default=True, help="Time on the last date.")
@click.option(
    "--condition",
    type=click.Choice([condition.value for condition in Condition]),
    default=Condition.CLOSED.value,
    show_default=True,
)
@click.option("--words", default="", help="What is allowed, for the condition “other”.")
@click.option("--withdraw", is_flag=True, help="Withdraw every session instead of moving it.")
@click.option("--look", is_flag=True, help="Only say what it displaces; change nothing.")
@json_option
@click.pass_obj
@tells_faults
def close(
    context: Context,
    pitch: str,
    reason: str,
    area: str,
    first: date | None,
    start: str | None,
    last: date | None,
    end: str,
    condition: str,
    words: str,
    withdraw: bool,
    look: bool,
    as_json: bool,
) -> None:
    """Close PITCH for REASON; sessions go to free ground that satisfies them, or are withdrawn."""
    store = context.open()
    now = datetime.now(UTC)
    wall = now.astimezone(club_zone(store))
    first_day = first or wall.date()
    try:
        during = range_until(
            first_day,
            wall.hour * 60 + wall.minute if start is None else minute_from_clock(start),
            last or first_day,
            MINUTES_A_DAY if end == "24:00" else minute_from_clock(end),
            club_zone(store),
        )
    except ValueError as fault:
        raise RefusedError(str(fault)) from fault
    wish = ClosureWish(
        find_area_id(store, pitch, area), during, Condition(condition), reason, words
    )
    foreseen = foresee_closure(store, wish, now)
    lines = [
        f"  {one.holder}, {one.when}, {one.place}: "
        + next((c.words for c in one.choices if c.value == one.chosen and not withdraw), "withdraw")
        for one in foreseen.displaced
    ]
    if look:
        text = "\n".join([f"{foreseen.place}, {foreseen.when}", *lines])
        say(text, asdict(foreseen), as_json=as_json)
        return
    decisions = all_withdrawn(foreseen.displaced) if withdraw else None
    done = close_ground(store, wish, decisions, now)
    say("\n".join([done.words, *lines]), asdict(done), as_json=as_json)


@closures.command(name="open")
@click.argument("number", type=click.IntRange(1, 2**31 - 1))
@json_option
@click.pass_obj
@tells_faults
def reopen(context: Context, number: int, as_json: bool) -> None:
    """Open the ground of closure NUMBER again from now on."""
    words = reopen_ground(context.open(), number, datetime.now(UTC))
    say(words, {"done": words}, as_json=as_json)
