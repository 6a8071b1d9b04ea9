"""The command that begins a club's records, or brings them up to date."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.errors import PlannerError, RefusedError
from clubplanner.services.people.ways_in.passwords import has_secretary
from clubplanner.store.engine import open_store, shown_address
from clubplanner.store.upkeep.migrate import migrate

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.commands.base.context import Context
    from clubplanner.config import Config

FIRST = (
    "There is no secretary yet: “clubplanner serve” serves the pages, and “clubplanner people "
    "let-in” prints the address at which the secretary chooses a password."
)
"""What comes next where a club has just begun."""


@click.command()
@json_option
@click.pass_obj
@tells_faults
def init(context: Context, as_json: bool) -> None:
    """Make the database, or bring it up to date; a copy as it was is then kept beside it.

    With a list of clubs and none chosen, of each of them; where one cannot be, the others are.
    """
    if context.is_for_all:
        _init_all(context, as_json=as_json)
        return
    copy, has_somebody = _migrate(context.config)
    words = [] if copy is None else [f"The database as it was is kept as {copy}."]
    words.append(f"Ready: {shown_address(context.config.database)}")
    ready = [{"club": context.config.club or None, "copy": None if copy is None else str(copy)}]
    say("\n".join(words), {"ready": ready}, as_json=as_json)
    if not has_somebody:
        click.echo(FIRST, err=True)


def _init_all(context: Context, *, as_json: bool) -> None:
    failed, ready, words = [], [], []
    for name, club in context.open_clubs().clubs.items():
        try:
            copy, _has_somebody = _migrate(club.config)
        except PlannerError as fault:
            failed.append(f"{name}: {fault}")
            continue
        kept = "" if copy is None else f"; the database as it was is kept as {copy}"
        words.append(f"{name}: ready{kept}.")
        ready.append({"club": name, "copy": None if copy is None else str(copy)})
    say("\n".join(words), {"ready": ready}, as_json=as_json)
    if failed:
        raise RefusedError("\n".join(["Not ready:", *failed]))


def _migrate(config: Config) -> tuple[Path | None, bool]:
    """Bring one club's records up to date; return the copy kept, and whether it has a secretary."""
    store = open_store(config.database)
    try:
        return migrate(store), has_secretary(store)
    finally:
        store.close()
