"""Who is one person, and what can be dialled."""

from __future__ import annotations

import pytest

from clubplanner.domain.club.persons.coaches import can_be_one, is_phone


@pytest.mark.parametrize("text", ["01632 960001", "+44 1632 960001", "112", "0" * 30])
def test_digits_blanks_and_a_plus_in_front_can_be_dialled(text: str) -> None:
    """As people write numbers, at home and abroad."""
    assert is_phone(text)


@pytest.mark.parametrize(
    "text", ["", "+", "12", "0163-2960", "01632+1", "ring me", "0" * 31, "١٢٣"]
)
def test_anything_else_cannot(text: str) -> None:
    """Words, other signs, and numbers too short or too long."""
    assert not is_phone(text)


@pytest.mark.parametrize(
    ("one", "other", "is_one"),
    [
        (("Robin Hale", ""), ("robin  HALE", ""), True),
        (("Robin Hale", "r@x.example"), ("Robin Hale", ""), True),
        (("Robin Hale", "r@x.example"), ("Ann Ode", "R@X.example"), True),
        (("Robin Hale", "r@x.example"), ("Robin Hale", "other@x.example"), False),
        (("Robin Hale", ""), ("Ann Ode", ""), False),
        (("", ""), ("", ""), False),
    ],
)
def test_an_address_decides_and_else_the_name(
    one: tuple[str, str], other: tuple[str, str], *, is_one: bool
) -> None:
    """It is the same whichever of the two comes first."""
    assert can_be_one(*one, *other) == can_be_one(*other, *one) == is_one
