"""Names as people type them."""

from __future__ import annotations

import pytest

from clubplanner.domain.club.comparing_names import is_called, plain_name


@pytest.mark.parametrize("typed", ["u12 kestrels", "  U12   KESTRELS ", "U12\tKestrels\n"])
def test_capitals_and_needless_blanks_make_no_difference(typed: str) -> None:
    """However somebody types a name, it means the same."""
    assert plain_name(typed) == "u12 kestrels"
    assert is_called(typed, "u12-kestrels", "U12 Kestrels")


@pytest.mark.parametrize("typed", ["", "U12", "U12Kestrels", "U12 Kestrels 2"])
def test_another_name_is_another_name(typed: str) -> None:
    """A part of a name, or one with its words run together, names nothing."""
    assert not is_called(typed, "u12-kestrels", "U12 Kestrels")
