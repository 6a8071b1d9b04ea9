"""Hires from the command line: looked at, booked, moved, ended, made longer."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.days import DAY
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.ranges import NUMBER
from clubplanner.domain.booked.hires import HireTimes
from clubplanner.domain.times.times import MINUTES_A_DAY, WEEKDAYS, minute_from_clock
from clubplanner.errors import RefusedError
from clubplanner.services.hires.booking import book_hire, book_more, foresee_hire, foresee_more
from clubplanner.services.hires.changes import HireMove, end_hire, foresee_hire_move, move_hire
from clubplanner.services.hires.dates import OUT, HireWish
from clubplanner.services.hires.pages import list_hires, see_hire
from clubplanner.services.rows.named import find_area_id

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from clubplanner.commands.base.context import Context
    from clubplanner.services.hires.booking import HireDone
    from clubplanner.services.hires.dates import HireDate


@click.group()
def hires() -> None:
    """Hire ground out, once or in a series of dates, and change that from a date on."""


@hires.command(name="list")
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, as_json: bool) -> None:
    """List the hires, those with dates still to come first."""
    lines = list_hires(context.open(), present.now())
    words = [
        f"{line.number}  {line.name}, {line.place}: {line.rhythm}, {line.span}; "
        f"{line.coming} to come, {line.left_out} left out"
        for line in lines
    ]
    say("\n".join(words) or "No hire is known yet.", [asdict(x) for x in lines], as_json=as_json)


@hires.command()
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def show(context: Context, number: int, as_json: bool) -> None:
    """Show hire NUMBER with all of its dates."""
    page = see_hire(context.open(), number, present.now())
    line = page.line
    words = [f"{line.name}, {line.place}: {line.rhythm}", f"Call: {line.contact} {line.phone}"]
    for one in page.dates:
        booked = f"booking {one.booking}" if one.booking else "left out"
        words.append(f"  {one.when}  {one.place}  {booked}".rstrip())
    say("\n".join(words), asdict(page), as_json=as_json)


@hires.command()
@click.argument("name")
@click.argument("pitch")
@click.option("--area", default="whole", show_default=True, help="Key or name of the part.")
@click.option("--first", type=DAY, required=True, help="First date; it gives the weekday.")
@click.option("--last", type=DAY, help="Last date; one date alone if left out.")
@click.option("--every", type=click.IntRange(1, 2), default=1, show_default=True, help="Weeks.")
@click.option("--from", "start", required=True, help="Time of day.")
@click.option("--to", "end", required=True, help="Time of day; past midnight the next day.")
@click.option("--call", default="", help="Whom to call.")
@click.option("--phone", default="", help="Their number.")
@click.option("--note", default="")
@click.option("--skip-breaks", is_flag=True, help="Leave out breaks and public holidays.")
@click.option("--leave-out", type=DAY, multiple=True, help="A date to leave out; repeat it.")
@click.option("--look", is_flag=True, help="Only say what can be booked; change nothing.")
@json_option
@click.pass_obj
@tells_faults
def add(
    context: Context,
    name: str,
    pitch: str,
    area: str,
    first: date,
    last: date | None,
    every: int,
    start: str,
    end: str,
    call: str,
    phone: str,
    note: str,
    skip_breaks: bool,
    leave_out: tuple[date, ...],
    look: bool,
    as_json: bool,
) -> None:
    """Hire PITCH out to NAME: every date is booked that no rule stands in the way of."""
    store = context.open()
    now = present.now()
    times = HireTimes(first, last or first, every, *_minutes(start, end))
    wish = HireWish(name, find_area_id(store, pitch, area), times, call, phone, note, skip_breaks)
    decisions = dict.fromkeys(leave_out, OUT)
    if look:
        _say_dates(foresee_hire(store, wish, now, decisions), as_json=as_json)
        return
    _say_done(book_hire(store, wish, now, decisions), as_json=as_json)


@hires.command()
@click.argument("number", type=NUMBER)
@click.option("--until", type=DAY, help="New last date; only dates left out if not given.")
@click.option("--look", is_flag=True, help="Only say what can be booked; change nothing.")
@json_option
@click.pass_obj
@tells_faults
def extend(context: Context, number: int, until: date | None, look: bool, as_json: bool) -> None:
    """Make hire NUMBER longer, and book what was left out and is free by now."""
    store = context.open()
    now = present.now()
    more = foresee_more(store, number, until, now)
    if look:
        _say_dates(more.dates, as_json=as_json)
        return
    _say_done(book_more(store, number, more.mark, until, now), as_json=as_json)


@hires.command()
@click.argument("number", type=NUMBER)
@click.option("--on", "from_on", type=DAY, required=True, help="From this date on.")
@click.option("--pitch", required=True)
@click.option("--area", default="whole", show_default=True, help="Key or name of the part.")
@click.option(
    "--weekday", type=click.Choice(WEEKDAYS, case_sensitive=False), help="That of --on if left out."
)
@click.option("--from", "start", required=True, help="Time of day.")
@click.option("--to", "end", required=True, help="Time of day; past midnight the next day.")
@click.option("--because", default="", help="Move against rules, too, for this reason.")
@click.option("--look", is_flag=True, help="Only say what can go; change nothing.")
@json_option
@click.pass_obj
@tells_faults
def move(
    context: Context,
    number: int,
    from_on: date,
    pitch: str,
    area: str,
    weekday: str | None,
    start: str,
    end: str,
    because: str,
    look: bool,
    as_json: bool,
) -> None:
    """Move all later dates of hire NUMBER; what cannot go stays and is told."""
    store = context.open()
    now = present.now()
    day = WEEKDAYS.index(weekday) if weekday else from_on.weekday()
    wanted = HireMove(from_on, find_area_id(store, pitch, area), day, *_minutes(start, end))
    foreseen = foresee_hire_move(store, number, wanted, now)
    if look:
        stays = [f"{one.day} stays: {one.why}" for one in foreseen.later.stays]
        words = "\n".join([f"{foreseen.later.count} can go there.", *stays])
        say(words, asdict(foreseen), as_json=as_json)
        return
    words = move_hire(store, number, foreseen.mark, wanted, now, because)
    say(words, {"done": words}, as_json=as_json)


@hires.command()
@click.argument("number", type=NUMBER)
@click.option("--after", type=DAY, help="Its last date; now if left out.")
@click.option("--why", default="", help="For those who come.")
@json_option
@click.pass_obj
@tells_faults
def withdraw(context: Context, number: int, after: date | None, why: str, as_json: bool) -> None:
    """End hire NUMBER; its later dates are given back."""
    store = context.open()
    now = present.now()
    mark = see_hire(store, number, now).mark
    words = end_hire(store, number, mark, after, now, why)
    say(words, {"done": words}, as_json=as_json)


def _minutes(start: str, end: str) -> tuple[int, int]:
    try:
        first, last = minute_from_clock(start), minute_from_clock(end)
    except ValueError as fault:
        raise RefusedError(f"{fault}.") from fault
    return first, last if last > first else last + MINUTES_A_DAY


def _say_dates(dates: Sequence[HireDate], *, as_json: bool) -> None:
    lines = []
    for one in dates:
        told = "booked" if one.is_booked else "left out"
        lines.append(f"{one.when}: {told}. {' '.join((*one.against, *one.notes))}".rstrip())
    value = [
        {
            "date": one.iso,
            "is_booked": one.is_booked,
            "against": list(one.against),
            "notes": list(one.notes),
        }
        for one in dates
    ]
    say("\n".join(lines), value, as_json=as_json)


def _say_done(done: HireDone, *, as_json: bool) -> None:
    say(done.words, asdict(done), as_json=as_json)
