"""Closing and opening ground from the command line."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.coming_back import return_line, returns_as_json
from clubplanner.commands.base.days import DAY
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.ranges import NUMBER
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.times.hours_typed import instant_typed, range_typed_until
from clubplanner.domain.times.times import MINUTES_A_DAY, minute_from_clock
from clubplanner.errors import RefusedError
from clubplanner.services.evening.closures.changes import (
    ClosureChange,
    change_closure,
    foresee_change,
)
from clubplanner.services.evening.closures.closing import (
    ClosureWish,
    all_withdrawn,
    close_ground,
    foresee_closure,
)
from clubplanner.services.evening.closures.reopening import (
    bring_back_sessions,
    reopen_ground,
    see_closure,
)
from clubplanner.services.places.closure_list import list_closures
from clubplanner.services.places.coming_back import chosen_of, proposed
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.rows.named import find_area_id

if TYPE_CHECKING:
    from datetime import date, datetime

    from clubplanner.commands.base.context import Context
    from clubplanner.services.places.displaced import Displaced
    from clubplanner.store.engine import Store


@click.group()
def closures() -> None:
    """Close ground, at once or planned, change that, and open it again."""


@closures.command(name="list")
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, as_json: bool) -> None:
    """List what is closed or open with a condition, now and ahead."""
    lines = list_closures(context.open(), present.now())
    words = [f"{line.number}  {line.when}  {line.words}" for line in lines]
    say(
        "\n".join(words) or "All ground is open.",
        [asdict(line) for line in lines],
        as_json=as_json,
    )


@closures.command(name="add")
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
    now = present.now()
    wall = now.astimezone(club_zone(store))
    first_day = first or wall.date()
    try:
        during = range_typed_until(
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
    lines = [_displaced_line(one, withdraw=withdraw) for one in foreseen.displaced]
    if look:
        text = "\n".join([f"{foreseen.place}, {foreseen.when}", *lines])
        say(text, asdict(foreseen), as_json=as_json)
        return
    decisions = all_withdrawn(foreseen.displaced) if withdraw else None
    done = close_ground(store, wish, decisions, now)
    value = {**asdict(done), "displaced": [asdict(one) for one in foreseen.displaced]}
    say("\n".join([done.words, *lines]), value, as_json=as_json)


@closures.command(name="open")
@click.argument("number", type=NUMBER)
@click.option("--bring-back", is_flag=True, help="Bring back every session that can come back.")
@click.option("--look", is_flag=True, help="Only say who could come back; change nothing.")
@json_option
@click.pass_obj
@tells_faults
def reopen(context: Context, number: int, bring_back: bool, look: bool, as_json: bool) -> None:
    """Open the ground of closure NUMBER again from now on; say who could come back."""
    store = context.open()
    now = present.now()
    shown = see_closure(store, number, now)
    lines = [return_line(one) for one in shown.returns]
    about = {"number": number, "place": shown.place, "returns": returns_as_json(shown.returns)}
    if look:
        value = {**about, "done": None, "words": shown.words}
        say("\n".join([shown.words, *lines]), value, as_json=as_json)
        return
    words = reopen_ground(store, number, now, proposed(shown.returns) if bring_back else {})
    if shown.can_bring_back and not bring_back:
        lines.append(f"Bring them back with: clubplanner closures bring-back {number}")
    value = {**about, "done": words, "words": shown.words}
    say("\n".join([words, *([] if bring_back else lines)]), value, as_json=as_json)


@closures.command(name="bring-back")
@click.argument("number", type=NUMBER)
@click.option("--only", multiple=True, type=NUMBER, help="A session by number; else all that can.")
@json_option
@click.pass_obj
@tells_faults
def bring_back_to_it(context: Context, number: int, only: tuple[int, ...], as_json: bool) -> None:
    """Bring back who had to go for closure NUMBER, where the ground is open again."""
    store = context.open()
    now = present.now()
    shown = see_closure(store, number, now)
    back = chosen_of(shown.returns, only or None)
    words = bring_back_sessions(store, number, now, back)
    say(words, {"done": words}, as_json=as_json)


@closures.command()
@click.argument("number", type=NUMBER)
@click.option("--until-date", "last", type=DAY, help="New last date; as it is if left out.")
@click.option("--until", "end", help="New time of day on the last date; as it is if left out.")
@click.option("--pitch", help="Other ground; as it is if left out.")
@click.option("--area", default="whole", show_default=True, help="Which part of that pitch.")
@click.option("--reason", help="Why, put right.")
@click.option("--condition", type=click.Choice([condition.value for condition in Condition]))
@click.option("--words", help="What is allowed, for the condition “other”.")
@click.option("--withdraw", is_flag=True, help="Withdraw who else has to go instead of moving it.")
@click.option("--stay-away", is_flag=True, help="Bring nobody back whose ground is set free.")
@click.option("--look", is_flag=True, help="Only say what it changes; change nothing.")
@json_option
@click.pass_obj
@tells_faults
def change(
    context: Context,
    number: int,
    last: date | None,
    end: str | None,
    pitch: str | None,
    area: str,
    reason: str | None,
    condition: str | None,
    words: str | None,
    withdraw: bool,
    stay_away: bool,
    look: bool,
    as_json: bool,
) -> None:
    """Change closure NUMBER: until when, which ground, how far, why; it keeps its number."""
    store = context.open()
    now = present.now()
    shown = see_closure(store, number, now)
    wish = ClosureChange(
        shown.area_id if pitch is None else find_area_id(store, pitch, area),
        _end(store, last or shown.until_date, end or shown.until),
        Condition(condition) if condition else shown.condition,
        shown.reason if reason is None else reason,
        shown.allowed if words is None else words,
    )
    foreseen = foresee_change(store, number, wish, now)
    lines = [_displaced_line(one, withdraw=withdraw) for one in foreseen.displaced]
    lines += [return_line(one) for one in foreseen.returns]
    if look:
        text = "\n".join([f"{foreseen.place}, {foreseen.when}", *lines])
        value = {**asdict(foreseen), "returns": returns_as_json(foreseen.returns)}
        say(text, value, as_json=as_json)
        return
    decisions = all_withdrawn(foreseen.displaced) if withdraw else None
    done = change_closure(store, number, wish, decisions, {} if stay_away else None, now)
    value = {
        **asdict(done),
        "displaced": [asdict(one) for one in foreseen.displaced],
        "returns": returns_as_json(foreseen.returns),
    }
    say("\n".join([done.words, *lines]), value, as_json=as_json)


def _end(store: Store, last: date, end: str) -> datetime:
    try:
        minute = MINUTES_A_DAY if end == "24:00" else minute_from_clock(end)
        return instant_typed(last, minute, club_zone(store))
    except ValueError as fault:
        raise RefusedError(str(fault)) from fault


def _displaced_line(one: Displaced, *, withdraw: bool) -> str:
    chosen = (c.words for c in one.choices if c.value == one.chosen and not withdraw)
    return f"  {one.holder}, {one.when}, {one.place}: {next(chosen, 'withdraw')}"
