"""Squads and ground are found by what people call them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.errors import MissingError
from clubplanner.services.rows.named import (
    find_area_id,
    find_ground_key,
    find_squad,
    find_squad_key,
)
from tests.small_club import KESTRELS, LOW, TOP
from tests.small_club import find_area_id as area_id_of_keys

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


@pytest.mark.parametrize("name", [KESTRELS, " U12 Kestrels ", "u12 KESTRELS"])
def test_a_squad_is_found_by_key_or_name(small: Store, name: str) -> None:
    """Capitals and blanks around make no difference."""
    with small.read() as session:
        assert find_squad(session, name).key == KESTRELS
    assert find_squad_key(small, name) == KESTRELS


def test_a_squad_that_is_not_there_is_answered_with_those_that_are(small: Store) -> None:
    """Who mistypes a squad reads what the squads are called."""
    with pytest.raises(MissingError, match="no squad “Moon”; the squads are: u12-kestrels, u14"):
        find_squad_key(small, "Moon")


def test_ground_is_found_by_pitch_and_area(small: Store) -> None:
    """Key or name, any case; a name that is not there is answered with those that are."""
    assert find_area_id(small, "top pitch", "clubhouse third") == area_id_of_keys(
        small, TOP, "third-1"
    )
    assert find_area_id(small, LOW) == area_id_of_keys(small, LOW, "whole")
    with pytest.raises(MissingError, match="There is no pitch “Moon”"):
        find_area_id(small, "Moon")
    with pytest.raises(MissingError, match="has no area “attic”"):
        find_area_id(small, "Hall", "attic")


@pytest.mark.parametrize(
    ("words", "key"),
    [
        ("top pitch", f"{TOP}/whole"),
        ("Clubhouse  third, Top pitch", f"{TOP}/third-1"),
        (f"{TOP}/third-1", f"{TOP}/third-1"),
    ],
)
def test_ground_is_found_by_one_phrase(small: Store, words: str, key: str) -> None:
    """A pitch's name means all of it; an area is named with its pitch, or by the ground's key."""
    assert find_ground_key(small, words) == key


def test_ground_that_is_not_there_is_answered_with_how_to_name_it(small: Store) -> None:
    """Who mistypes ground reads how ground is named."""
    with pytest.raises(MissingError, match="North third, Top pitch"):
        find_ground_key(small, "Moon")
