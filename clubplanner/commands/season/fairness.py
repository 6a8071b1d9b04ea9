"""Fairness from the command line."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.services.history.fairness import see_fairness

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group()
def fairness() -> None:
    """What each squad has had so far, and how even that is."""


@fairness.command()
@json_option
@click.pass_obj
@tells_faults
def show(context: Context, as_json: bool) -> None:
    """Show what each squad has had so far, and how even that is.

    Hours had over hours asked for, the worst served first; Jain's index and the Gini coefficient
    of these; good and bad ground by square metres a player.
    """
    page = see_fairness(context.open(), present.now())
    if page.jain is None or page.gini is None:
        words = ["No training has begun yet."]
    else:
        words = [f"Jain's index {page.jain:.3f} (1 is even), Gini {page.gini:.3f} (0 is even)"]
    for club in page.clubs:
        part = "–" if club.share is None else f"{100 * club.share:.0f} % of all hours"
        name = club.name or "Squads of no club"
        words.append(f"{name}: {club.hours:.1f} of {club.asked:.1f} h, {part}")
    for squad in page.squads:
        line = f"{squad.name}: "
        if squad.served is not None:
            line += f"{100 * squad.served:.0f} %, "
        line += f"{squad.words}, even {squad.even:.1f} h"
        if squad.ground is not None:
            line += (
                f", good ground {100 * squad.ground.good:.0f} %, bad {100 * squad.ground.bad:.0f} %"
            )
        words.append(line)
    value = {
        "since": str(page.since),
        "until": str(page.until),
        "jain": page.jain,
        "gini": page.gini,
        "clubs": [asdict(club) for club in page.clubs],
        "squads": [
            {**asdict(squad), "served": squad.served, "words": squad.words} for squad in page.squads
        ],
    }
    say("\n".join(words), value, as_json=as_json)
