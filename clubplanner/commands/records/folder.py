"""The commands that let a club go out as a folder of its own files, and come in again."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base.files_on_disk import read_folder, write_folder
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.services.folder.exporting import export_folder
from clubplanner.services.folder.taking_in import take_in_folder

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context

_FOLDER = click.argument("folder", type=click.Path(path_type=Path))


@click.group()
def club() -> None:
    """The club as a folder of its own files."""


@club.command()
@_FOLDER
@json_option
@click.pass_obj
@tells_faults
def export(context: Context, folder: Path, as_json: bool) -> None:
    """Write all that the club typed and booked to FOLDER, a new one.

    Passwords, addresses that open pages and calendars, mails and who changed what stay behind. The
    same club always gives the same files; README.txt among them says which is which.
    """
    names = write_folder(folder, export_folder(context.open()))
    words = f"Written: {folder}, {len(names)} files. It names people; keep it where you keep such."
    say(words, {"folder": str(folder), "files": names}, as_json=as_json)


@club.command()
@_FOLDER
@json_option
@click.pass_obj
@tells_faults
def load(context: Context, folder: Path, as_json: bool) -> None:
    """Take the club in FOLDER into an empty database (“clubplanner init” makes one).

    All files are looked at; if there is any fault, every one is listed with its file and row, and
    nothing is changed. Records that are there already are never mixed with a folder's.
    """
    report = take_in_folder(context.open(), read_folder(folder), datetime.now(UTC))
    lines = "\n".join(f"Taken in: {line}." for line in report.lines)
    say(lines, {"loaded": list(report.lines)}, as_json=as_json)
