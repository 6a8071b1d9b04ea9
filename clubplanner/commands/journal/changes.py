"""The journal's commands: list changes, take one back, show an evening as it stood."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.ranges import NUMBER
from clubplanner.language import ngettext
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.journal.since import (
    MOST_AT_ONCE,
    USUAL_COUNT,
    happening_values,
    present_mark,
    read_since,
)
from clubplanner.services.rows.club.club import club_zone

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group()
def changes() -> None:
    """See what was changed, by whom, and take it back."""


@changes.command(name="list")
@click.option("--count", default=10, show_default=True, type=click.IntRange(1, 1000))
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, count: int, as_json: bool) -> None:
    """List the last changes, newest first, each with what keeps it from being taken back."""
    store = context.open()
    zone = club_zone(store)
    found = list_changes(store, present.now(), count=count)
    words = []
    for line in found:
        when = f"{line.at.astimezone(zone):%Y-%m-%d %H:%M}"
        words.append(f"{line.number}  {when}  {line.by}: {line.words}")
        words += [f"    {entry}" for entry in line.lines]
        if line.more:
            words.append(f"    and {line.more} more")
        words += [f"    Cannot be taken back: {obstacle}" for obstacle in line.obstacles]
    value = [{**asdict(line), "at": line.at.isoformat()} for line in found]
    say("\n".join(words) or "Nothing has been changed yet.", value, as_json=as_json)


@changes.command()
@click.option("--since", help="A mark that was given before; none for that of the present.")
@click.option(
    "--count",
    default=USUAL_COUNT,
    show_default=True,
    type=click.IntRange(1, MOST_AT_ONCE),
    help="How many entries at most.",
)
@json_option
@click.pass_obj
@tells_faults
def follow(context: Context, since: str | None, count: int, as_json: bool) -> None:
    """Say what has happened since a mark, oldest first, and the mark to follow from.

    Begin without one: it gives the mark of the present. Then read what you need, and follow.
    """
    store = context.open()
    if since is None:
        mark = present_mark(store, present.now())
        value = {"happenings": [], "mark": mark, "has_more": False}
        say(f"Follow from here: --since {mark}", value, as_json=as_json)
        return
    zone = club_zone(store)
    found = read_since(store, since, count=count)
    words = [
        f"{one.change}  {one.at.astimezone(zone):%Y-%m-%d %H:%M}  {one.by}: "
        + " ".join(filter(None, (one.sort or one.kind, one.number, one.title, one.words)))
        for one in found.happenings
    ]
    words.append(
        f"{'There is more' if found.has_more else 'Follow from here'}: --since {found.mark}"
    )
    value = {
        "happenings": [happening_values(one) for one in found.happenings],
        "mark": found.mark,
        "has_more": found.has_more,
    }
    say("\n".join(words), value, as_json=as_json)


@changes.command()
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def undo(context: Context, number: int, as_json: bool) -> None:
    """Take change NUMBER back: all that is still to come of it, or nothing."""
    done = undo_change(context.open(), number, present.now())
    bookings = ngettext("%(num)s booking", "%(num)s bookings", done.bookings)
    say(f"{done.words} ({bookings})", asdict(done), as_json=as_json)
