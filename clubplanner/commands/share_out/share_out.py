"""The share-out commands: run one, publish one."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.ranges import NUMBER, SEED
from clubplanner.commands.base.searching import search
from clubplanner.commands.share_out.beside import BESIDE
from clubplanner.commands.share_out.proposal_words import (
    beforehand_lines,
    proposal_in_words,
    proposal_value,
)
from clubplanner.commands.share_out.share_again import COMMANDS as AGAIN
from clubplanner.commands.share_out.share_out_files import COMMANDS, memory_option
from clubplanner.commands.share_out.share_turns import turns
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.share_out.anew.anew import run_share_out, sessions_to_go_on_from
from clubplanner.services.share_out.anew.beforehand import look_before
from clubplanner.services.showing.not_said import list_not_said
from clubplanner.sharing.values.problem import Effort

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group(name="share-out")
def share_out() -> None:
    """Share a stretch of the season out among the squads.

    “run” and “solve” begin anew, or with an earlier plan by --from. The others begin with the plan
    that they are to change, so a search that was ended early is repeated with more --seconds.
    """


for _command in (*COMMANDS, *AGAIN, *BESIDE, turns):
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
@click.option("--seed", default=1, show_default=True, type=SEED)
@click.option(
    "--from",
    "earlier",
    type=NUMBER,
    help="Number of an earlier proposal of STRETCH to go on from.",
)
@click.option("--venue", help="Key or name of a venue to share out alone; all else stays.")
@memory_option
@json_option
@click.pass_obj
@tells_faults
def run(
    context: Context,
    stretch: str,
    seconds: float,
    workers: int,
    seed: int,
    earlier: int | None,
    venue: str | None,
    memory_mb: int,
    as_json: bool,
) -> None:
    """Share out STRETCH (its key or name) and keep the proposal; nothing is booked yet.

    Ctrl-C ends it and keeps the best plan found so far; --from goes on from that. --venue leaves
    sessions at other venues where --from has them, or the proposal published last.
    """
    store, now = context.open(), present.now()
    effort = Effort(seconds=seconds, workers=workers, seed=seed, memory_mb=memory_mb)
    start = () if earlier is None else sessions_to_go_on_from(store, earlier, stretch)
    done, is_stopped = search(
        "Sharing out",
        lambda note, brake: run_share_out(
            store, stretch, effort, now, note, start=start, brake=brake, venue=venue or ""
        ),
    )
    page = see_share_out(store, done.number, present.now())
    value = {**asdict(done), **proposal_value(page), "is_stopped": is_stopped}
    words = proposal_in_words(page)
    if is_stopped:
        words += f"\nGo on from it with: clubplanner share-out run {page.stretch_key} --from "
        words += str(page.number)
    say(words, value, as_json=as_json)


@share_out.command(name="foresee")
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
