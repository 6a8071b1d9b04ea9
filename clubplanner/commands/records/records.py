"""The records as a whole: backed up, brought back, moved to another database."""

from __future__ import annotations

from contextlib import closing

import click

from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.records.backups import backup, restore
from clubplanner.errors import RefusedError
from clubplanner.store.engine import open_store
from clubplanner.store.upkeep.moving import move_records


@click.group()
def records() -> None:
    """All records of a club: backed up, brought back, moved to another database."""


records.add_command(backup)
records.add_command(restore)


@records.command()
@click.argument("source", metavar="FROM")
@click.argument("target", metavar="TO")
@json_option
@tells_faults
def move(source: str, target: str, as_json: bool) -> None:
    """Copy all records of a club to another database, and compare them row by row.

    FROM and TO are addresses such as sqlite:///club.sqlite and
    postgresql://club@db.example.org/pitches; a password may stand in ~/.pgpass instead. Nobody
    writes to FROM meanwhile, and it stays as it is. TO is empty, or holds these very records: then
    they are compared once more. Serve from TO afterwards, by --database or CLUBPLANNER_DATABASE.
    """
    if source == target:
        raise RefusedError("Both addresses are the same; name the database to move to.")
    with closing(open_store(source)) as one, closing(open_store(target)) as other:
        moved = move_records(one, other)
    total = sum(moved.rows.values())
    done = "were there already and are" if moved.was_there else "were copied and are"
    words = f"{total} rows of {len(moved.rows)} tables {done} the same in both."
    say(words, {"rows": moved.rows, "were_there": moved.was_there}, as_json=as_json)
