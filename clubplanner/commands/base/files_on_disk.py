"""Reading and writing files on disk."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from clubplanner.errors import MissingError, RefusedError
from clubplanner.inputs.club_files.club_file import ClubFile

if TYPE_CHECKING:
    from collections.abc import Iterable


def read_file(path: Path) -> ClubFile:
    """Read a file from disk.

    Raises:
        MissingError: If it cannot be read.
    """
    try:
        return ClubFile(path.name, path.read_bytes())
    except OSError as fault:
        raise MissingError(f"{path} cannot be read: {fault.strerror}.") from fault


def write_file(path: Path, data: bytes) -> None:
    """Write a file to disk.

    Raises:
        MissingError: If it cannot be written.
    """
    try:
        path.write_bytes(data)
    except OSError as fault:
        raise MissingError(f"{path} cannot be written: {fault.strerror}.") from fault


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
