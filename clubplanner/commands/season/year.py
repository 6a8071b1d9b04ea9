"""The year from the command line: breaks, public holidays, squads' own seasons."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.days import DAY
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.ranges import NUMBER
from clubplanner.commands.season.next_season import change_next, forget_next, make_next, show_next
from clubplanner.services.season.squads.own_seasons import set_squad_season
from clubplanner.services.season.stretch_dates import (
    change_stretch_dates,
    find_stretch_dates,
    see_stretch_dates,
)
from clubplanner.services.season.year import (
    add_break,
    keep_holiday,
    remove_break,
    see_year,
    set_holiday_place,
)

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.commands.base.context import Context


@click.group()
def year() -> None:
    """Stretches, breaks, public holidays, the squads' own seasons, and the next season."""


for command in (show_next, change_next, make_next, forget_next):
    year.add_command(command)


@year.command()
@json_option
@click.pass_obj
@tells_faults
def show(context: Context, as_json: bool) -> None:
    """Show the year."""
    page = see_year(context.open())
    words = [f"{s.name}: {s.starts_on} to {s.ends_on}" for s in page.stretches]
    words += [f"Clocks change: {words}" for words in page.clock_changes]
    words += [f"Break {line.number}: {line.name}, {line.dates}" for line in page.breaks]
    words += [f"Not decided: {h.day} {h.name}" for h in page.undecided]
    words += [f"Training as usual: {h.day} {h.name}" for h in page.kept]
    value = {
        "stretches": [
            {"key": s.key, "name": s.name, "starts_on": s.starts_on, "ends_on": s.ends_on}
            for s in page.stretches
        ],
        "clock_changes": list(page.clock_changes),
        "breaks": [{"number": b.number, "name": b.name, "dates": b.dates} for b in page.breaks],
        "undecided": [{"day": h.day, "name": h.name} for h in page.undecided],
        "kept": [{"day": h.day, "name": h.name} for h in page.kept],
        "country": page.country,
        "region": page.region,
    }
    say("\n".join(words), value, as_json=as_json)


@year.command(name="set-holidays")
@click.argument("country")
@click.argument("region", default="")
@json_option
@click.pass_obj
@tells_faults
def holidays(context: Context, country: str, region: str, as_json: bool) -> None:
    """Let the public holidays of COUNTRY (such as GB) and REGION (such as ENG) count."""
    words = set_holiday_place(context.open(), country, region)
    say(words, {"done": words}, as_json=as_json)


@year.command(name="train-on")
@click.argument("day", type=DAY)
@json_option
@click.pass_obj
@tells_faults
def train_on(context: Context, day: date, as_json: bool) -> None:
    """Train as usual on the public holiday of DAY."""
    words = keep_holiday(context.open(), day)
    say(words, {"done": words}, as_json=as_json)


@year.command(name="add-break")
@click.argument("name")
@click.argument("first", type=DAY)
@click.argument("last", type=DAY)
@click.option("--keep", is_flag=True, help="Keep the training that is booked on these dates.")
@json_option
@click.pass_obj
@tells_faults
def new_break(
    context: Context, name: str, first: date, last: date, keep: bool, as_json: bool
) -> None:
    """Have no training from FIRST to LAST; what a share-out booked then is withdrawn."""
    words = add_break(context.open(), name, first, last, present.now(), withdraws=not keep)
    say(words, {"done": words}, as_json=as_json)


@year.command(name="withdraw-break")
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def drop_break(context: Context, number: int, as_json: bool) -> None:
    """Take break NUMBER out."""
    words = remove_break(context.open(), number)
    say(words, {"done": words}, as_json=as_json)


@year.command(name="change-stretch")
@click.argument("key", metavar="STRETCH")
@click.option("--first", type=DAY, help="Its first date; as it is if left out.")
@click.option("--last", type=DAY, help="Its last date; as it is if left out.")
@click.option("--by-hand", is_flag=True, help="Withdraw what was put by hand outside, too.")
@click.option("--mails", is_flag=True, help="Write to everybody about what is withdrawn.")
@click.option("--look", is_flag=True, help="Say what would change, and change nothing.")
@json_option
@click.pass_obj
@tells_faults
def stretch(
    context: Context,
    key: str,
    first: date | None,
    last: date | None,
    by_hand: bool,
    mails: bool,
    look: bool,
    as_json: bool,
) -> None:
    """Give STRETCH other dates: its weeks go on over new ones, or end with the old.

    What a rule keeps away is told and left out; book it by hand, or use the page.
    """
    store, now = context.open(), present.now()
    known = find_stretch_dates(store, key)
    dates = (first or known.starts_on, last or known.ends_on)
    foreseen = see_stretch_dates(store, known.key, known.name, *dates, now)
    kept_out = [f"{one.words}: {' '.join(one.why)}" for one in foreseen.clashes]
    words = f"Would be booked: {foreseen.booked}; withdrawn: {foreseen.withdrawn}; "
    words += f"put by hand outside: {foreseen.by_hand}"
    if not look:
        words = change_stretch_dates(
            store,
            known.key,
            known.name,
            *dates,
            {},
            now,
            withdraws_by_hand=by_hand,
            mails=mails,
            seen=foreseen.seen,
        )
    value = {
        "done": None if look else words,
        "booked": foreseen.booked,
        "withdrawn": foreseen.withdrawn,
        "by_hand": foreseen.by_hand,
        "kept_out": kept_out,
        "not_continued": list(foreseen.not_continued),
    }
    say("\n".join((words, *kept_out, *foreseen.not_continued)), value, as_json=as_json)


@year.command(name="set-squad")
@click.argument("squad")
@click.option("--first", type=DAY, help="First date of training; as the club if left out.")
@click.option("--last", type=DAY, help="Last date of training; as the club if left out.")
@json_option
@click.pass_obj
@tells_faults
def squad(
    context: Context, squad: str, first: date | None, last: date | None, as_json: bool
) -> None:
    """Give SQUAD a season of its own."""
    words = set_squad_season(
        context.open(),
        squad,
        first,
        last,
    )
    say(words, {"done": words}, as_json=as_json)
