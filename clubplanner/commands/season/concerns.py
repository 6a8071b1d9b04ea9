"""The problem list from the command line."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.services.season.ahead import USUAL_WEEKS, list_concerns

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group()
def concerns() -> None:
    """What needs a hand."""


@concerns.command(name="list")
@click.option("--weeks", default=USUAL_WEEKS, show_default=True, type=click.IntRange(1, 60))
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, weeks: int, as_json: bool) -> None:
    """List what needs a hand in the coming weeks.

    Coaches in two places, matches without ground, dark endings, whatever else stands against a
    rule, squads without a session, grass over its limit, public holidays nobody decided about,
    training booked in a break. Where a rule was overruled, the reason is told.
    """
    found = list_concerns(context.open(), weeks, present.now())
    words = [f"{c.day}  {c.kind.value}: {c.words} {c.remedy}" for c in found]
    value = [
        {**asdict(c), "day": str(c.day), "kind": c.kind.name.lower(), "kind_words": c.kind.value}
        for c in found
    ]
    say("\n".join(words) or "Nothing needs a hand.", value, as_json=as_json)
