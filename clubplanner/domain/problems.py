"""A fault in what a person supplied, as a value."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault, where it stands and what to write instead.

    Attributes:
        where: The place in the person's own words: "squads.csv, row 4, column minutes".
        code: A short stable word for programs, such as "not-a-number".
        message: What is wrong and what to do, a full sentence.
    """

    where: str
    code: str
    message: str

    def __str__(self) -> str:
        return f"{self.where}: {self.message}" if self.where else self.message
