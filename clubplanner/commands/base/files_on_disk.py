"""Reading and writing files on disk; “-” is standard input and standard output."""

from __future__ import annotations

import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from clubplanner.errors import MissingError, RefusedError
from clubplanner.inputs.club_files.club_file import ClubFile

if TYPE_CHECKING:
    from collections.abc import Iterable

STANDARD = Path("-")
"""Stands for standard input where a file is read and for standard output where one is written."""


def read_file(path: Path, suffix: str = "") -> ClubFile:
    """Read a file from disk, or from standard input.

    Args:
        path: Which one; “-” is standard input.
        suffix: What a file from standard input is, such as ".csv"; blank to tell it by how it
            begins.

    Raises:
        MissingError: If it cannot be read.
    """
    data = read_bytes(path)
    if path == STANDARD:
        return ClubFile(f"standard-input{suffix or _suffix_of(data)}", data)
    return ClubFile(path.name, data)


def read_bytes(path: Path) -> bytes:
    """Read the bytes of a file, or of standard input.

    Raises:
        MissingError: If they cannot be read.
    """
    if path == STANDARD:
        return sys.stdin.buffer.read()
    try:
        return path.read_bytes()
    except OSError as fault:
        raise MissingError(f"{path} cannot be read: {fault.strerror}.") from fault


def write_file(path: Path, data: bytes) -> None:
    """Write a file to disk, or to standard output.

    Raises:
        MissingError: If it cannot be written.
    """
    if path == STANDARD:
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
        return
    try:
        path.write_bytes(data)
    except OSError as fault:
        raise MissingError(f"{path} cannot be written: {fault.strerror}.") from fault


def refuse_both_on_output(path: Path | None, *, as_json: bool) -> None:
    """Keep a file and JSON from standard output at once.

    Raises:
        RefusedError: If both would go there.
    """
    if as_json and path == STANDARD:
        raise RefusedError("A file and JSON cannot both go to standard output; name a file.")


def _suffix_of(data: bytes) -> str:
    """Tell what a file is by how it begins; what looks like nothing else is a table."""
    text = data[:1000].decode("utf-8-sig", "replace").lstrip()
    if text.startswith("{"):
        return ".geojson"
    if text.startswith("BEGIN:"):
        return ".ics"
    if text.startswith("PK"):
        return ".xlsx" if b"[Content_Types].xml" in data else ".zip"
    return ".toml" if text[:1] in ("[", "#") or " = " in text.partition("\n")[0] else ".csv"


def write_folder(path: Path, files: Iterable[ClubFile]) -> list[str]:
    """Write files into a new folder, which their owner alone may read.

    They are written beside it first, so that no half of a folder is ever taken for a whole one.

    Args:
        path: The folder: not there yet, or empty.
        files: What to write, as it comes.

    Returns:
        The names of the files.

    Raises:
        MissingError: If it cannot be written.
        RefusedError: If something is there already.
    """
    try:
        if path.exists() and not (path.is_dir() and not any(path.iterdir())):
            raise RefusedError(f"{path} is there already, and not an empty folder; name a new one.")
        path.parent.mkdir(parents=True, exist_ok=True)
        with TemporaryDirectory(prefix=f".{path.name}-", dir=path.parent) as beside:
            half = Path(beside) / "files"
            half.mkdir(mode=0o700)
            names = []
            for file in files:
                (half / file.name).write_bytes(file.data)
                (half / file.name).chmod(0o600)
                names.append(file.name)
            half.rename(path)
    except OSError as fault:
        raise MissingError(f"{path} cannot be written: {fault.strerror}.") from fault
    return names


def read_folder(path: Path) -> list[ClubFile]:
    """Read the files of a folder, in the order of their names; folders within it are left alone.

    Raises:
        MissingError: If there is no such folder, or a file cannot be read.
    """
    try:
        files = sorted(one for one in path.iterdir() if one.is_file())
    except OSError as fault:
        raise MissingError(f"{path} cannot be read as a folder: {fault.strerror}.") from fault
    return [read_file(file) for file in files]
