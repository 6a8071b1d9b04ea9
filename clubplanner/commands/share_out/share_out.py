"""The share-out commands: run one, publish one."""

from __future__ import annotations

from dataclasses import asdict
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.progress import progress_bar
from clubplanner.commands.share_out.proposal_words import (
    beforehand_lines,
    proposal_in_words,
    refusal_lines,
)
from clubplanner.commands.share_out.share_again import COMMANDS as AGAIN
from clubplanner.commands.share_out.share_out_files import COMMANDS
from clubplanner.commands.share_out.share_turns import turns
from clubplanner.errors import MissingError
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.share_out.anew import run_share_out
from clubplanner.services.share_out.beforehand import look_before
from clubplanner.services.share_out.by_hand import why_without
from clubplanner.services.showing.not_said import list_not_said
from clubplanner.sharing.values.problem import Effort

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group(name="share-out")
def share_out() -> None:
    """Share a stretch of the season out among the squads."""


for _command in (*COMMANDS, *AGAIN, turns):
    share_out.add_command(_command)


@share_out.command()
@click.argument("stretch")
@click.option(
    "--seconds",
    default=30.0,
    show_default=True,
    type=click.FloatRange(1, 86_400),
    help="About how long to try.",
)
@click.option("--workers", default=1, show_default=True, type=click.IntRange(1, 64))
@click.option("--seed", default=1, show_default=True, type=click.IntRange(0, 2**31 - 1))
@json_option
@click.pass_obj
@tells_faults
def run(
    context: Context, stretch: str, seconds: float, workers: int, seed: int, as_json: bool
) -> None:
    """Share out STRETCH (its key or name) and keep the proposal; nothing is booked yet."""
    store = context.open()
    effort = Effort(seconds=seconds, workers=workers, seed=seed)
    with progress_bar("Sharing out") as note:
        done = run_share_out(store, stretch, effort, datetime.now(UTC), note)
    page = see_share_out(store, done.number, datetime.now(UTC))
    value = {
        **asdict(done),
        "levels": [asdict(level) for level in page.levels],
        "refusals": [asdict(refusal) for refusal in page.refusals],
        "not_said": [one.words for one in page.not_said],
    }
    say(proposal_in_words(page), value, as_json=as_json)


@share_out.command()
@click.argument("stretch")
@json_option
@click.pass_obj
@tells_faults
def before(context: Context, stretch: str, as_json: bool) -> None:
    """Say what will go wrong before STRETCH (its key or name) is shared out, and what helps.

    Nothing is shared out: each squad is looked at as if it were alone, by the share-out's rules.
    """
    store = context.open()
    found = look_before(store, stretch, most=None)
    not_said = [one.words for one in list_not_said(store)]
    value = {**asdict(found), "not_said": not_said}
    say("\n".join(beforehand_lines(found, not_said)), value, as_json=as_json)


@share_out.command()
@click.argument("number", type=click.IntRange(1, 2**31 - 1))
@click.argument("ask")
@json_option
@click.pass_obj
@tells_faults
def why(context: Context, number: int, ask: str, as_json: bool) -> None:
    """Say why ASK (its key, or its squad's name) goes without in proposal NUMBER.

    This takes the time it needs, also for what a run has left out for lack of time.
    """
    store, now = context.open(), datetime.now(UTC)
    refusals = see_share_out(store, number, now).refusals
    keys = [one.ask for one in refusals if one.ask == ask] or [
        one.ask for one in refusals if one.squad_name.casefold() == ask.strip().casefold()
    ]
    if not keys:
        raise MissingError(f"Nobody called “{ask}” goes without in proposal {number}.")
    found = [why_without(store, number, key, now) for key in keys]
    words = [line for one in found for line in refusal_lines(one)]
    say("\n".join(words), [asdict(one) for one in found], as_json=as_json)


@share_out.command()
@click.argument("number", type=click.IntRange(1, 2**31 - 1))
@json_option
@click.pass_obj
@tells_faults
def publish(context: Context, number: int, as_json: bool) -> None:
    """Turn proposal NUMBER into dated bookings, all of them or none."""
    published = publish_share_out(context.open(), number, datetime.now(UTC))
    say(f"Published: {published.sentence}", asdict(published), as_json=as_json)
