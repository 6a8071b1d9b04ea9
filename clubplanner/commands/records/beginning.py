"""The command that begins a club's records, or brings them up to date."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.errors import PlannerError, RefusedError
from clubplanner.store.engine import open_store, shown_address
from clubplanner.store.upkeep.migrate import migrate

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.commands.base.context import Context
    from clubplanner.config import Config


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
    copy = _migrate(context.config)
    words = [] if copy is None else [f"The database as it was is kept as {copy}."]
    words.append(f"Ready: {shown_address(context.config.database)}")
    ready = [{"club": context.config.club or None, "copy": None if copy is None else str(copy)}]
    say("\n".join(words), {"ready": ready}, as_json=as_json)


def _init_all(context: Context, *, as_json: bool) -> None:
    failed, ready, words = [], [], []
    for name, club in context.open_clubs().clubs.items():
        try:
            copy = _migrate(club.config)
        except PlannerError as fault:
            failed.append(f"{name}: {fault}")
            continue
        kept = "" if copy is None else f"; the database as it was is kept as {copy}"
        words.append(f"{name}: ready{kept}.")
        ready.append({"club": name, "copy": None if copy is None else str(copy)})
    say("\n".join(words), {"ready": ready}, as_json=as_json)
    if failed:
        raise RefusedError("\n".join(["Not ready:", *failed]))


def _migrate(config: Config) -> Path | None:
    store = open_store(config.database)
    try:
        return migrate(store)
    finally:
        store.close()
