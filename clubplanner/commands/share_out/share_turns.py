"""The command that plans fair turns."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.searching import search
from clubplanner.commands.share_out.proposal_words import proposal_in_words, proposal_value
from clubplanner.commands.share_out.share_again import effort_options
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.rows.named import find_squad_key
from clubplanner.services.share_out.again.in_turns import TurnWishes, propose_turns
from clubplanner.sharing.values.problem import Effort

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.command(name="run-turns")
@click.argument("stretch")
@click.option("--still", multiple=True, help="A squad that keeps its place.")
@click.option("--same-start", is_flag=True, help="Keep everybody's hours; swap ground only.")
@effort_options
@json_option
@click.pass_obj
@tells_faults
def turns(
    context: Context,
    stretch: str,
    still: tuple[str, ...],
    same_start: bool,
    seconds: float,
    seed: int,
    memory_mb: int,
    as_json: bool,
) -> None:
    """Let squads take turns on the worse places over the weeks of STRETCH, which is published.

    It begins with what is published, not with an earlier proposal of turns.
    """
    store = context.open()
    wishes = TurnWishes(frozenset(find_squad_key(store, words) for words in still), same_start)
    effort, now = Effort(seconds=seconds, seed=seed, memory_mb=memory_mb), present.now()
    number, is_stopped = search(
        "Planning turns",
        lambda note, brake: propose_turns(store, stretch, wishes, effort, now, note, brake),
    )
    page = see_share_out(store, number, present.now())
    value = {**proposal_value(page), "is_stopped": is_stopped}
    say(proposal_in_words(page), value, as_json=as_json)
