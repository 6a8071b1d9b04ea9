"""A club travels as one file: the same club gives the same bytes, and no file takes too much."""

from __future__ import annotations

import io
import zipfile
from typing import TYPE_CHECKING

import pytest

from clubplanner.errors import FaultyInputError
from clubplanner.services.folder import packing
from clubplanner.services.folder.exporting import export_folder
from clubplanner.services.folder.packing import pack_folder, unpack_folder

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


def packed(*files: tuple[str, bytes]) -> io.BytesIO:
    """Return a packed file with these in it."""
    body = io.BytesIO()
    with zipfile.ZipFile(body, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files:
            archive.writestr(name, data)
    body.seek(0)
    return body


def fault_of(body: io.BytesIO) -> str:
    """Return the fault of a packed file."""
    with pytest.raises(FaultyInputError) as raised:
        unpack_folder(body, "club.zip")
    return str(raised.value.problems[0])


def test_a_club_is_packed_and_unpacked(small: Store) -> None:
    """What is unpacked is what went out; packed again it is the same, byte for byte."""
    with pack_folder(small) as one, pack_folder(small) as other:
        assert one.read() == other.read()
        one.seek(0)
        assert unpack_folder(one, "club.zip") == list(export_folder(small))


def test_a_folder_may_be_packed_by_hand() -> None:
    """The folder round the files, and what computers add to it, do not matter."""
    body = packed(
        ("my club/", b""),
        ("my club/squads.csv", b"x"),
        ("__MACOSX/my club/._squads.csv", b"y"),
        ("my club/.DS_Store", b"z"),
    )
    assert [(file.name, file.data) for file in unpack_folder(body, "x")] == [("squads.csv", b"x")]


def test_what_is_no_packed_folder_is_told() -> None:
    """A file of another kind, one cut off and one that is damaged within are told alike."""
    whole = packed(("squads.csv", b"squad" * 2000)).getvalue()
    damaged = bytearray(whole)
    damaged[45:60] = b"\xff" * 15
    for body in (b"", b"no such thing", whole[:-30], bytes(damaged)):
        assert "cannot be unpacked" in fault_of(io.BytesIO(body))


def test_two_files_of_one_name_are_told() -> None:
    """Of two files that are called alike none is lost without a word."""
    assert "squads.csv" in fault_of(packed(("a/squads.csv", b"x"), ("b/squads.csv", b"y")))


def test_no_more_is_unpacked_than_a_page_takes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Few bytes that ask to become many are refused before they do; so are very many files."""
    assert "more in it than" in fault_of(packed(("bookings.csv", b" " * (packing.MOST_BYTES + 1))))
    monkeypatch.setattr(packing, "MOST_FILES", 3)
    assert "more in it than" in fault_of(packed(*((f"{n}.csv", b"") for n in range(4))))
