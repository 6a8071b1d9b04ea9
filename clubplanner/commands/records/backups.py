"""The commands that back a club's records up and bring them back."""

from __future__ import annotations

from contextlib import closing
from dataclasses import asdict
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.files_on_disk import (
    STANDARD,
    read_bytes,
    refuse_both_on_output,
    write_file,
)
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.store.engine import open_store
from clubplanner.store.sqlite import file_of
from clubplanner.store.upkeep.backups import make_backup
from clubplanner.store.upkeep.copies import free_name

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context
    from clubplanner.services.restoring.restoring import Restored
    from clubplanner.services.restoring.settled import Found

WAYS_IN = ("now", "backup", "closed")


@click.command(name="back-up")
@click.argument("file", type=click.Path(path_type=Path))
@json_option
@click.pass_obj
@tells_faults
def backup(context: Context, file: Path, as_json: bool) -> None:
    """Write all records of the club into FILE, as they are at one moment, and check it.

    The pages may be served and used meanwhile. FILE is new, whatever the records are kept in, and
    “records restore” brings it back; “-” is standard output. Its owner alone can read it, and it
    wants to be kept as safely as the records: it holds everybody's names, telephone numbers and
    mail addresses, mails and the journal; passwords and the secret addresses of pages as hashes;
    and in plain text what could be misused: addresses of calendars of others, and the keys by which
    phones are told. Keep one on another machine.
    """
    refuse_both_on_output(file, as_json=as_json)
    with closing(open_store(context.config.database)) as store, TemporaryDirectory() as beside:
        path = Path(beside) / "backup" if file == STANDARD else file
        made = make_backup(store, path, present.now())
        if file == STANDARD:
            write_file(file, path.read_bytes())
            return
    total = sum(made.rows.values())
    words = f"{total} rows of {len(made.rows)} tables are in {file}, and it was opened and checked."
    value = {"file": str(file), "rows": made.rows, "version": made.version}
    say(words, value, as_json=as_json)


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--replace", "is_replacing", is_flag=True, help="Replace the records that are there.")
@click.option(
    "--although-served", "is_served", is_flag=True, help="Do it although somebody has them open."
)
@click.option(
    "--ways-in",
    type=click.Choice(WAYS_IN),
    default="now",
    show_default=True,
    help="What addresses, access and passwords become: as the records that are replaced have them "
    "now; as in the backup, since none was withdrawn after it; or closed, to be given anew.",
)
@json_option
@click.pass_obj
@tells_faults
def restore(
    context: Context,
    file: Path,
    is_replacing: bool,
    is_served: bool,
    ways_in: str,
    as_json: bool,
) -> None:
    """Bring the club back as it is in FILE: a backup, or an older copy of its records.

    Records that are there are replaced only with --replace, and kept beside as a backup. What
    people outside have stays true: counts of calendars go on, so that no program takes an old entry
    for a new one; sessions that were made since the backup are called off; mails that were sent are
    not sent again; sign-in addresses that were used, addresses that were withdrawn and passwords
    that were replaced do not work again. What was typed since is lost. The secretary finds what it
    means, and who has to hear of it, on the first page.
    """
    from clubplanner.services.restoring.restoring import Wish, restore_backup
    from clubplanner.services.restoring.ways_in import WaysIn

    with closing(open_store(context.config.database)) as store, TemporaryDirectory() as beside:
        path, name = file, file
        if file == STANDARD:
            path, name = Path(beside) / "backup", Path("restored")
            write_file(path, read_bytes(file))
        database = file_of(store.engine) or name.with_name(f"{name.stem}.sqlite").absolute()
        copy = free_name(database, "restore")
        wish = Wish(path, copy, WaysIn(ways_in), is_replacing, is_served)
        done = restore_backup(store, wish, present.now())
    value = {
        "taken_at": done.taken_at and done.taken_at.isoformat(),
        "rows": done.rows,
        "copy": done.copy and str(done.copy),
        "found": asdict(done.found),
    }
    say("\n".join(_lines(done)), value, as_json=as_json)


def _lines(done: Restored) -> list[str]:
    found = done.found
    when = "an earlier day" if done.taken_at is None else f"{done.taken_at:%Y-%m-%d %H:%M} UTC"
    lines = [f"{found.club or 'The club'} is as it was at {when}; rows: {done.rows}."]
    if done.copy is not None:
        lines.append(f"The records that were replaced are kept as {done.copy}.")
    lines += _session_lines(found)
    lines += _people_lines(found)
    lines.append("Start the pages and the worker anew.")
    return lines


def _session_lines(found: Found) -> list[str]:
    lines = [f"Every count of a calendar's entry rose by {found.jump}."]
    if not found.is_known:
        lines.append(
            "Nothing says what was booked since: those sessions leave calendars when these are "
            "fetched next; what a mail put into a calendar stays there."
        )
    else:
        lines.append(
            f"Sessions to come that are again as they were: {found.put_back}; made since, and "
            f"called off: {found.called_off}."
        )
    if found.closures or not found.is_known:
        many = f": {found.closures}" if found.is_known else ""
        lines.append(
            f"Closures made since are gone{many}. Close that ground again if it must not be used."
        )
    if found.untold:
        lines.append(
            f"Made since on ground that the backup does not know: {found.untold}; what was made "
            "there leaves calendars when these are fetched next."
        )
    return lines


def _people_lines(found: Found) -> list[str]:
    lines = [
        f"Addresses that open something: {found.open}.",
        f"Addresses of the backup that open nothing any more: {found.withdrawn}.",
    ]
    if found.lost:
        lines.append(f"Addresses made since, and lost: {found.lost}; hand out new ones.")
    if found.ended:
        lines.append(f"People who could sign in by the backup and cannot now: {found.ended}.")
    if found.gone:
        lines.append(f"People noted since, and gone: {found.gone}; add them again.")
    if found.unsure:
        lines.append(
            f"Mails that waited, and nothing says if they went out: {found.unsure}; they stand "
            "among those that did not arrive."
        )
    if found.ways_in == "closed":
        lines.append(
            "Print a secretary's address for a new password with “clubplanner people let-in”."
        )
    return lines
