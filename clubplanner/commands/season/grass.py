"""The use of grass from the command line."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.season.grass.wear import (
    limit_in_words,
    see_wear,
    set_limit_by_guidance,
    set_wear_limit,
)

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group()
def grass() -> None:
    """How much grass pitches are used, against what they bear."""


@grass.command()
@click.option("--weeks", default=8, show_default=True, type=click.IntRange(1, 60))
@json_option
@click.pass_obj
@tells_faults
def show(context: Context, weeks: int, as_json: bool) -> None:
    """Show the use of every grass pitch, this week and the coming ones."""
    store = context.open()
    today = present.now().astimezone(club_zone(store)).date()
    pitches = see_wear(store, today, weeks)
    words = []
    for pitch in pitches:
        limit = "no limit" if pitch.limit is None else limit_in_words(pitch.limit)
        words.append(f"{pitch.key}: {limit}")
        words += [f"  {week.week}: {week.use}, {week.words}" for week in pitch.weeks]
    value = [
        {
            "pitch": pitch.key,
            "limit": None if pitch.limit is None else asdict(pitch.limit),
            "weeks": [{**asdict(week), "monday": str(week.monday)} for week in pitch.weeks],
        }
        for pitch in pitches
    ]
    say("\n".join(words) or "The club has no grass pitch.", value, as_json=as_json)


@grass.command(name="set-limit")
@click.argument("pitch")
@click.option("--hours", type=float, help="Adult hours of the whole pitch a week.")
@click.option("--matches", type=float, help="Match equivalents a week.")
@click.option("--source", default="", help="Where own figures come from.")
@click.option("--built", default="", help="By guidance, such as “pipe-drained”.")
@click.option("--quality", default="", help="By guidance: good, standard or poor.")
@json_option
@click.pass_obj
@tells_faults
def limit(
    context: Context,
    pitch: str,
    hours: float | None,
    matches: float | None,
    source: str,
    built: str,
    quality: str,
    as_json: bool,
) -> None:
    """Set what PITCH may bear in a week, by own figures or by guidance; with neither, no limit."""
    store = context.open()
    if built or quality:
        words = set_limit_by_guidance(store, pitch, built, quality)
    else:
        words = set_wear_limit(store, pitch, hours, matches, source)
    say(words, {"done": words}, as_json=as_json)
