"""Tariffs from the command line: listed, added, withdrawn, and the club's currency."""

from __future__ import annotations

from dataclasses import asdict, replace
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base.days import DAY
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.ranges import NUMBER
from clubplanner.domain.money.tariffs import InLight, Payer, Per, Spot, Tariff
from clubplanner.domain.times.times import minute_from_clock
from clubplanner.domain.times.windows import parse_days
from clubplanner.errors import RefusedError
from clubplanner.services.money.tariff_book import (
    save_tariff,
    see_tariffs,
    settle_terms,
    take_tariff_out,
)

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.commands.base.context import Context


@click.group()
def tariffs() -> None:
    """Say what an hour of ground costs, for statements and the share-out."""


@tariffs.command(name="list")
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, as_json: bool) -> None:
    """List tariffs and reductions."""
    book = see_tariffs(context.open())
    words = []
    for payer, lines in book.tariffs:
        words.append(payer)
        words += [
            f"  {line.number}  {line.amount}, {line.place}: {line.when}  {line.name}".rstrip()
            for line in lines
        ]
    words += [f"  {one.number}  {one.words}: {one.whom}  {one.name}" for one in book.reductions]
    value = {
        "currency": book.terms.currency,
        "tariffs": [
            {"payer": payer, **asdict(line)} for payer, lines in book.tariffs for line in lines
        ],
        "reductions": [asdict(one) for one in book.reductions],
    }
    say("\n".join(words) or "No tariff is known yet.", value, as_json=as_json)


@tariffs.command()
@click.argument("ground")
@click.argument("amount")
@click.option(
    "--payer",
    type=click.Choice([one.value for one in Payer]),
    default=Payer.CLUB.value,
    show_default=True,
    help="Who pays: the club its venues, squads or hirers the club.",
)
@click.option(
    "--per",
    type=click.Choice([one.value for one in Per]),
    default=Per.HOUR.value,
    show_default=True,
)
@click.option("--adds", is_flag=True, help="On top of the price that holds anyway.")
@click.option(
    "--light",
    type=click.Choice([one.value for one in InLight]),
    default=InLight.ANY.value,
    show_default=True,
)
@click.option("--days", default="", help="Weekdays, such as “Mon-Wed, Fri”; every day if left out.")
@click.option("--from", "start", default="00:00", show_default=True, help="Time of day.")
@click.option("--to", "end", default="24:00", show_default=True, help="Time of day.")
@click.option("--season", default="", help="Each year's days, such as “10-01/03-31”.")
@click.option("--first", type=DAY, help="First date on which it holds.")
@click.option("--last", type=DAY, help="Last date on which it holds.")
@click.option("--name", default="", help="What it is called on statements.")
@json_option
@click.pass_obj
@tells_faults
def add(
    context: Context,
    ground: str,
    amount: str,
    payer: str,
    per: str,
    adds: bool,
    light: str,
    days: str,
    start: str,
    end: str,
    season: str,
    first: date | None,
    last: date | None,
    name: str,
    as_json: bool,
) -> None:
    """Add a tariff: AMOUNT for GROUND, by keys (venue, venue/pitch or venue/pitch/part)."""
    keys = (*ground.split("/"), "", "")[:3]
    season_from, _slash, season_to = season.partition("/")
    try:
        tariff = Tariff(
            number=0,
            payer=Payer(payer),
            spot=Spot(*keys),
            amount=0,
            per=Per(per),
            name=name,
            adds=adds,
            light=InLight(light),
            weekdays=frozenset(parse_days(days) if days else ()),
            from_min=minute_from_clock(start),
            to_min=minute_from_clock(end),
            season_from=season_from,
            season_to=season_to,
            starts_on=first,
            ends_on=last,
        )
    except ValueError as fault:
        raise RefusedError(str(fault)) from fault
    number = save_tariff(context.open(), tariff, amount)
    say(f"Tariff {number} is added.", {"number": number}, as_json=as_json)


@tariffs.command()
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def withdraw(context: Context, number: int, as_json: bool) -> None:
    """Withdraw tariff NUMBER; statements that were issued stay as they are."""
    take_tariff_out(context.open(), number)
    say(f"Tariff {number} is withdrawn.", {"number": number}, as_json=as_json)


@tariffs.command(name="set-currency")
@click.argument("code")
@json_option
@click.pass_obj
@tells_faults
def set_currency(context: Context, code: str, as_json: bool) -> None:
    """Say that the club reckons in the currency CODE (ISO 4217), such as EUR."""
    store = context.open()
    settle_terms(store, replace(see_tariffs(store).terms, currency=code))
    chosen = see_tariffs(store).terms.currency
    say(f"The club reckons in {chosen}.", {"currency": chosen}, as_json=as_json)
