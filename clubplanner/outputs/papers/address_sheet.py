"""Addresses to hand out: strips to cut off, on as many sheets of A4 as they need."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class AddressStrip:
    """One strip.

    Attributes:
        name: Of the squad or coach.
        purpose: What the address is for.
        address: The address; it is secret.
        code: The same as a square code, SVG.
        code_words: What the code opens, for those who have it read aloud.
    """

    name: str
    purpose: str
    address: str
    code: str
    code_words: str


@dataclass(frozen=True, slots=True)
class AddressSheet:
    """What stands on the sheets.

    Attributes:
        club: The club's name.
        title: What it is, for the file.
        strips: One after the other.
        note: A sentence on every strip: how to use it and to keep it.
        made: When they were made, in words.
    """

    club: str
    title: str
    strips: tuple[AddressStrip, ...]
    note: str
    made: str
