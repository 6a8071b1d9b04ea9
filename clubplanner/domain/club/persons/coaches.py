"""Coaches: people who answer for a squad or assist, whatever they are called."""

from __future__ import annotations

import re
from dataclasses import dataclass

from clubplanner.domain.club.comparing_names import plain_name

LONGEST_PHONE = 30
FEWEST_DIGITS = 3
_PHONE = re.compile(r"\+?[0-9 ]+")


@dataclass(frozen=True, slots=True)
class Coach:
    """One of a squad's coaches.

    Attributes:
        name: As the club says it; blank when only an address is known.
        email: Blank when not known.
        phone: For the secretary, and whoever has to ring; blank when not known.
        number: The person's number in the club's records: the same number is the same person,
            however the name is written. 0 where it is not known, as in a file.
        position: 0 for the first coach, who answers for the squad; from 1 on they assist.
    """

    name: str
    email: str = ""
    phone: str = ""
    number: int = 0
    position: int = 0

    @property
    def is_first(self) -> bool:
        """Whether they answer for the squad."""
        return self.position == 0


def is_phone(text: str) -> bool:
    """Tell whether a text can be dialled: digits and blanks, a plus sign in front at most."""
    digits = sum(letter.isdigit() for letter in text)
    is_short = len(text) <= LONGEST_PHONE
    return is_short and digits >= FEWEST_DIGITS and _PHONE.fullmatch(text) is not None


def can_be_one(name: str, email: str, other_name: str, other_email: str) -> bool:
    """Tell whether two entries can mean one person.

    The same mail address is the same person, whatever the names. Without an address on one side
    the name decides; two addresses are two people.
    """
    if email and other_email:
        return plain_name(email) == plain_name(other_email)
    return bool(name) and plain_name(name) == plain_name(other_name)
