"""Webhooks from the command line."""

from __future__ import annotations

import sys
from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.output import BAD_INPUT, json_option, say, tells_faults
from clubplanner.commands.base.ranges import NUMBER
from clubplanner.services.webhooks.delivering import post_within
from clubplanner.services.webhooks.sending import Fate
from clubplanner.services.webhooks.webhooks import (
    add_webhook,
    end_webhook,
    exchange_secret,
    go_on_with_webhook,
    list_webhooks,
    see_webhook,
    trial_in_words,
    try_webhook,
)

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group()
def webhooks() -> None:
    """Other programs that are told by signed messages what changes."""


@webhooks.command()
@click.argument("name")
@click.argument("address")
@json_option
@click.pass_obj
@tells_faults
def add(context: Context, name: str, address: str, as_json: bool) -> None:
    """Tell the program at ADDRESS every change from now on; NAME says what for.

    Its messages are signed with a secret that is shown only now (Standard Webhooks 1.0.0).
    """
    made = add_webhook(context.open(), name, address, context.config, present.now())
    say(
        f"{made.number}  {made.name}\nSigned with, shown only now: {made.secret}",
        asdict(made),
        as_json=as_json,
    )


@webhooks.command(name="list")
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, as_json: bool) -> None:
    """List the webhooks, and how they go."""
    lines = list_webhooks(context.open())
    words = [f"{line.number}  {line.name}, {line.host}: {line.state}" for line in lines]
    say("\n".join(words) or "None yet.", [asdict(line) for line in lines], as_json=as_json)


@webhooks.command()
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def show(context: Context, number: int, as_json: bool) -> None:
    """Show webhook NUMBER with its newest messages."""
    page = see_webhook(context.open(), number, present.now())
    words = [f"{page.line.number}  {page.line.name}, {page.line.host}: {page.line.state}"]
    if page.former_until:
        words.append(f"    Signed with the secret before, too, until {page.former_until}")
    words += [f"    {m.message_id}  {m.made}, tries: {m.tries}, {m.state}" for m in page.messages]
    say("\n".join(words), asdict(page), as_json=as_json)


@webhooks.command(name="try")
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def attempt(context: Context, number: int, as_json: bool) -> None:
    """Send webhook NUMBER a message that says nothing, to see whether one arrives."""
    post = post_within(context.config)
    answer = try_webhook(context.open(), number, present.now(), post)
    has_arrived = answer.fate is Fate.TAKEN
    value = {"has_arrived": has_arrived, "status": answer.status, "words": answer.words}
    say(trial_in_words(answer), value, as_json=as_json)
    if not has_arrived:
        sys.exit(BAD_INPUT)


@webhooks.command(name="exchange-secret")
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def exchange(context: Context, number: int, as_json: bool) -> None:
    """Sign the messages of webhook NUMBER with another secret.

    It is shown only now. For a day they are signed with the one before, too.
    """
    made = exchange_secret(context.open(), number, present.now())
    say(
        f"{made.number}  {made.name}\nSigned with, shown only now: {made.secret}\n"
        f"Signed with the secret before, too, until {made.former_until}",
        asdict(made),
        as_json=as_json,
    )


@webhooks.command()
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def withdraw(context: Context, number: int, as_json: bool) -> None:
    """Tell webhook NUMBER nothing more."""
    name = end_webhook(context.open(), number, present.now())
    say(f"Nothing more is sent to {name}.", {"name": name}, as_json=as_json)


@webhooks.command()
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def resume(context: Context, number: int, as_json: bool) -> None:
    """Let webhook NUMBER go on from where it stopped."""
    name = go_on_with_webhook(context.open(), number, present.now())
    say(f"{name} is told again what changes.", {"name": name}, as_json=as_json)
