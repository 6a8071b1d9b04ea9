"""Files that nobody means well with are read or refused in words, within time and memory."""

from __future__ import annotations

import pytest

from tests.fuzz.examples import good_files
from tests.fuzz.readers import READERS
from tests.fuzz.spoiling import Spoilt, greedy_for, read_within_bounds, spoil_for

EACH = 25


def told(found: list[Spoilt]) -> str:
    """Write what was found."""
    return "\n\n".join(f"{one.what}\n{one.name} {one.data[:200]!r}\n{one.more}" for one in found)


@pytest.mark.parametrize("reader", READERS)
def test_no_spoilt_file_breaks_a_reader(reader: str) -> None:
    """Good files with bytes, words, lines and parts put in, out or elsewhere."""
    found = list(spoil_for(reader, 0, EACH))
    assert not found, told(found)


@pytest.mark.parametrize("reader", READERS)
def test_no_small_file_asks_a_reader_for_much(reader: str) -> None:
    """Packed, nested, repeated and endless: refused before it is built."""
    found = list(greedy_for(reader, only_like=True))
    assert not found, told(found)


def test_a_reader_that_breaks_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """An error that a reader lets through is told with its place."""
    monkeypatch.setitem(READERS, "places", ("", lambda data: data[10**9]))
    (one,) = read_within_bounds("places", "x", b"x")
    assert one.what.startswith("places: IndexError")


@pytest.mark.parametrize("reader", READERS)
def test_each_reader_has_a_good_file(reader: str) -> None:
    """What is spoilt for a reader was made for it."""
    assert any(name.endswith(READERS[reader][0]) for name in good_files())
