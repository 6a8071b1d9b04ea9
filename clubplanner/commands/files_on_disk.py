"""Reading and writing files on disk."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.errors import MissingError
from clubplanner.inputs.club_files.club_file import ClubFile

if TYPE_CHECKING:
    from pathlib import Path


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
