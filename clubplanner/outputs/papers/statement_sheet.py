"""A month's statement on as many sheets of A4 as it needs."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SheetLine:
    """A line: when, what for, how long and what was taken off, the price, the amount; in words."""

    when: str
    what: str
    hours: str
    rate: str
    amount: str


@dataclass(frozen=True, slots=True)
class StatementSheet:
    """What stands on it.

    Attributes:
        club: The club's name.
        title: "Statement 17".
        name: Who owes, or the venue that the club owes.
        about: Who pays whom.
        month: Of which month.
        issued: When it was issued.
        taken_back: When and why it was taken back; blank where it stands.
        headings: Of the five columns.
        lines: In order.
        total_words: What the sum is called.
        total: The sum of the amounts.
        rounding: Where it is rounded.
        note: The treasurer's, of any number of lines; may be blank.
    """

    club: str
    title: str
    name: str
    about: str
    month: str
    issued: str
    taken_back: str
    headings: tuple[str, str, str, str, str]
    lines: tuple[SheetLine, ...]
    total_words: str
    total: str
    rounding: str
    note: str
