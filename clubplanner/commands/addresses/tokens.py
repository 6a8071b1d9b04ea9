"""Tokens of people's programs from the command line: made, listed, withdrawn."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.ranges import NUMBER
from clubplanner.services.addresses.public_address import settle_address
from clubplanner.services.people.ways_in.tokens import (
    LONGEST_DAYS,
    TokenWish,
    find_holder,
    hand_out_token,
    list_tokens,
    withdraw_token,
)

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group()
def tokens() -> None:
    """Tokens by which people's other programs come in at the JSON API."""


@tokens.command()
@click.argument("person")
@click.option("--for", "purpose", required=True, help="What for: the program, and where it runs.")
@click.option("--change", "may_change", is_flag=True, help="It may change things, not read alone.")
@click.option(
    "--days",
    type=click.IntRange(1, LONGEST_DAYS),
    default=LONGEST_DAYS,
    show_default=True,
    help="For how long it opens.",
)
@json_option
@click.pass_obj
@tells_faults
def add(
    context: Context, person: str, purpose: str, may_change: bool, days: int, as_json: bool
) -> None:
    """Make a token of PERSON, by name or e-mail address: it may do what they may.

    It is printed only now, since only its hash is kept.
    """
    store = context.open()
    now = present.now()
    holder = find_holder(store, person)
    number, token = hand_out_token(store, holder, TokenWish(purpose, may_change, days), now)
    address = f"{settle_address(context.config, store).public_address}/api/1"
    value = {"number": number, "token": token, "address": address}
    say(f"Token: {token}\nFor: {address}", value, as_json=as_json)


@tokens.command(name="list")
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, as_json: bool) -> None:
    """List the tokens in use; the tokens themselves are kept nowhere."""
    found = list_tokens(context.open(), present.now())
    words = [
        f"{one.number}  {one.name}  {one.purpose}, {'changes' if one.may_change else 'reads'}, "
        f"until {one.ends_at:%Y-%m-%d}, "
        + ("not used yet" if one.used_at is None else f"last used {one.used_at:%Y-%m-%d}")
        for one in found
    ]
    values = [
        {
            "number": one.number,
            "person": one.name,
            "purpose": one.purpose,
            "may_change": one.may_change,
            "since": one.since.isoformat(),
            "ends_at": one.ends_at.isoformat(),
            "used_at": None if one.used_at is None else one.used_at.isoformat(),
        }
        for one in found
    ]
    say("\n".join(words) or "None yet.", values, as_json=as_json)


@tokens.command()
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def withdraw(context: Context, number: int, as_json: bool) -> None:
    """Make token NUMBER of the list useless."""
    purpose = withdraw_token(context.open(), number, present.now())
    say(f"Withdrawn: the token for {purpose}.", {"purpose": purpose}, as_json=as_json)
