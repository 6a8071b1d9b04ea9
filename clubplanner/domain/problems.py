"""A fault in what a person supplied, as a value."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from clubplanner.language import marked, term

PLACES = (
    marked("row"),
    marked("sheet"),
    marked("column"),
    marked("property"),
    marked("feature"),
    marked("event"),
    marked("busy times"),
)
_PLACE_WORD = re.compile(rf"\b(?:{'|'.join(PLACES)})\b(?= )")


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault, where it stands and what to write instead.

    Attributes:
        where: The place: "squads.csv, row 4, column minutes"; told by `place_in_words`.
        code: A short stable word for programs, such as "not-a-number".
        message: What is wrong and what to do, a full sentence.
        form_words: The same for a form, whose fields show no column or property names; blank
            where the message will do.
    """

    where: str
    code: str
    message: str
    form_words: str = field(default="", compare=False, repr=False)

    def __str__(self) -> str:
        return f"{place_in_words(self.where)}: {self.message}" if self.where else self.message


def place_in_words(where: str) -> str:
    """Tell a place in a file in the language spoken now: "row 4, column minutes"."""
    return _PLACE_WORD.sub(lambda found: term(found[0]), where)
