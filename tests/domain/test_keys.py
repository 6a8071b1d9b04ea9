"""Keys made from names."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.keys import key_from_name


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("Marsh Lane", "marsh-lane"),
        ("  U12 – Kestrels (B)! ", "u12-kestrels-b"),
        ("Große Wiese", "grosse-wiese"),
        ("GROẞE WIESE", "grosse-wiese"),
        ("Øst Sør", "ost-sor"),
        ("Café_Été", "cafe-ete"),
        ("Ελλάδα", "ελλαδα"),
        ("北 操场", "北-操场"),
        ("½ pitch", "1-2-pitch"),
        ("!!!", "unnamed"),
        ("", "unnamed"),
    ],
)
def test_a_key_is_made_from_a_name(name: str, key: str) -> None:
    """Case, accents and signs go; letters of other scripts stay."""
    assert key_from_name(name) == key


@given(name=st.text(max_size=30))
def test_a_key_is_its_own_key(name: str) -> None:
    """A key is never empty, has no white space or capitals, and stays as it is."""
    key = key_from_name(name)
    assert key
    assert key_from_name(key) == key
    assert not any(character.isspace() for character in key)
    assert not key.startswith("-")
    assert not key.endswith("-")
