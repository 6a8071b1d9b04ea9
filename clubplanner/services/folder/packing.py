"""A club's folder as one file (ZIP), for whoever has no command line."""

from __future__ import annotations

import tempfile
import zipfile
import zlib
from pathlib import PurePosixPath
from typing import IO, TYPE_CHECKING

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.language import _
from clubplanner.services.folder.exporting import export_folder

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

MOST_FILES = 5_000
MOST_BYTES = 25_000_000
"""Of all files together, unpacked; a larger club is taken in by its command."""
IN_MEMORY = 5_000_000
ALWAYS = (1980, 1, 1, 0, 0, 0)
"""When every file was written: the same club gives the same bytes."""
OWNER_ALONE = 0o100600 << 16
OF_OTHERS = "__MACOSX"


def pack_folder(store: Store) -> IO[bytes]:
    """Return the files of a club as one file, open at its beginning.

    Raises:
        NoClubError: If there is no club.
    """
    packed = tempfile.SpooledTemporaryFile(IN_MEMORY)  # noqa: SIM115 - whoever sends it closes it
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for file in export_folder(store):
            entry = zipfile.ZipInfo(file.name, ALWAYS)
            entry.compress_type, entry.external_attr = zipfile.ZIP_DEFLATED, OWNER_ALONE
            archive.writestr(entry, file.data)
    packed.seek(0)
    return packed


def unpack_folder(stream: IO[bytes], name: str) -> list[ClubFile]:
    """Return the files in a packed folder, also where it was packed with its folder around it.

    Args:
        stream: The packed file.
        name: What it is called.

    Raises:
        FaultyInputError: If it is none, or asks for more than is read.
    """
    try:
        with zipfile.ZipFile(stream) as archive:
            entries = [entry for entry in archive.infolist() if _is_ours(entry)]
            _refuse_too_much(entries, name)
            return _read(archive, entries, name)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError) as fault:
        words = _(
            "The file cannot be unpacked. Choose the one file (.zip) as it was sent from the page "
            "“Files”, or pack the folder anew without a password."
        )
        raise FaultyInputError([Problem(name, "not-packed", words)]) from fault


def _is_ours(entry: zipfile.ZipInfo) -> bool:
    path = PurePosixPath(entry.filename)
    is_hidden = any(part.startswith(".") or part == OF_OTHERS for part in path.parts)
    return not entry.is_dir() and not is_hidden


def _refuse_too_much(entries: list[zipfile.ZipInfo], name: str) -> None:
    if len(entries) > MOST_FILES or sum(entry.file_size for entry in entries) > MOST_BYTES:
        words = _(
            "There is more in it than a page takes; whoever looks after the computer can take the "
            "folder in with “clubplanner club load”."
        )
        raise FaultyInputError([Problem(name, "too-large", words)])


def _read(archive: zipfile.ZipFile, entries: list[zipfile.ZipInfo], name: str) -> list[ClubFile]:
    """Read the files; what each says of its size is held to."""
    files: dict[str, ClubFile] = {}
    problems = []
    for entry in entries:
        called = PurePosixPath(entry.filename).name
        if called in files:
            words = _("Two files are called so; keep one of them.")
            problems.append(Problem(f"{name}, {called}", "repeated", words))
            continue
        with archive.open(entry) as file:
            files[called] = ClubFile(called, file.read(entry.file_size))
    if problems:
        raise FaultyInputError(problems)
    return list(files.values())
