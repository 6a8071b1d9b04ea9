"""The club as files: what it loads, and all of it as a folder of its own."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.files_on_disk import (
    STANDARD,
    read_file,
    read_folder,
    refuse_both_on_output,
    write_file,
    write_folder,
)
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.services.folder.exporting import export_folder
from clubplanner.services.folder.packing import pack_folder, unpack_folder
from clubplanner.services.folder.taking_in import take_in_folder
from clubplanner.services.setup.loading import load_files

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group()
def club() -> None:
    """The club as files: settings, grounds, squads, or all of it as a folder."""


@club.command()
@click.argument("folder", type=click.Path(path_type=Path))
@json_option
@click.pass_obj
@tells_faults
def export(context: Context, folder: Path, as_json: bool) -> None:
    """Write all that the club typed and booked to FOLDER, a new one.

    Passwords, addresses that open pages and calendars, mails and who changed what stay behind. The
    same club always gives the same files; README.txt among them says which is which. To “-”, which
    is standard output, they go packed as one file (ZIP).
    """
    store = context.open()
    if folder == STANDARD:
        refuse_both_on_output(folder, as_json=as_json)
        with pack_folder(store) as packed:
            write_file(folder, packed.read())
        return
    names = write_folder(folder, export_folder(store))
    words = f"Written: {folder}, {len(names)} files. It names people; keep it where you keep such."
    say(words, {"folder": str(folder), "files": names}, as_json=as_json)


@club.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@json_option
@click.pass_obj
@tells_faults
def load(context: Context, files: tuple[Path, ...], as_json: bool) -> None:
    """Load FILES: settings (.toml), grounds (.geojson), squads, own sizes (.csv, .xlsx).

    Or one folder that “club export” wrote, packed or not, into an empty database (“clubplanner
    init” makes one); records that are there already are never mixed with a folder's. “-” is
    standard input.

    All FILES are checked first; if there is any fault, every one is listed and nothing is changed.
    """
    store, now = context.open(), present.now()
    if len(files) == 1 and files[0].is_dir():
        report = take_in_folder(store, read_folder(files[0]), now)
    else:
        read = [read_file(path) for path in files]
        if len(read) == 1 and read[0].name.casefold().endswith(".zip"):
            report = take_in_folder(store, unpack_folder(BytesIO(read[0].data), read[0].name), now)
        else:
            report = load_files(store, read, now)
    lines = "\n".join(f"Loaded {line}." for line in report.lines)
    say(lines, {"loaded": list(report.lines)}, as_json=as_json)
