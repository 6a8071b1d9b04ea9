"""A few of very many: what a form offers of a list that is too long to be read through.

A short list is offered whole. Of a long one a form offers what is chosen, and what goes by words
that somebody looks for; nothing is looked for by itself, so that a page of 2,000 squads stays as
calm as one of ten.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from clubplanner.domain.searching import is_found_by, search_words

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from clubplanner.services.showing.choosing.choices import Choice

MOST_TICKED = 60
"""A list of boxes to tick is offered whole up to so many."""
MOST_SELECTED = 240
"""A selection is, which a browser searches by typing: 200 squads, or all areas of 40 pitches."""
MOST_FOUND = 60
"""So many are shown of what is found; who looks for more types more."""


@dataclass(frozen=True, slots=True)
class Offered:
    """What a form offers of a list.

    Attributes:
        chosen: What is chosen, in the list's order; empty where the list is offered whole.
        found: What is offered besides: the whole list, or what was looked for, the nearest first.
        more: How many besides go by the words.
        total: How many there are to choose from.
        asked: The words that were looked for.
        is_whole: Whether the list is offered whole, and nothing has to be looked for.
    """

    chosen: tuple[Choice, ...]
    found: tuple[Choice, ...]
    more: int
    total: int
    asked: str
    is_whole: bool

    @property
    def groups(self) -> tuple[tuple[str, tuple[Choice, ...]], ...]:
        """What is found by its group, in the order found; a blank group stands by itself."""
        return tuple((group, tuple(held)) for group, held in groupby(self.found, _group_of))


def offer(
    choices: Sequence[Choice], chosen: Collection[str], asked: str = "", *, most: int = MOST_TICKED
) -> Offered:
    """Return what a form offers of a list.

    Each word looked for begins a word of the entry, its note, its group or what else it goes by.

    Args:
        choices: The whole list.
        chosen: The values that are chosen.
        asked: What is looked for; blank for nothing.
        most: Up to how many entries the list is offered whole.
    """
    if len(choices) <= most:
        return Offered((), tuple(choices), 0, len(choices), "", is_whole=True)
    held = tuple(one for one in choices if one.value in chosen)
    words = search_words(asked)
    found = [
        one
        for one in (choices if words else ())
        if is_found_by(words, f"{one.words} {one.note} {one.group} {one.also}")
        and one.value not in chosen
    ]
    shown = sorted(found, key=lambda one: _distance(words, one))[:MOST_FOUND]
    order = {group: n for n, group in enumerate(dict.fromkeys(one.group for one in choices))}
    shown.sort(key=lambda one: order[one.group])
    return Offered(
        held, tuple(shown), len(found) - len(shown), len(choices), asked.strip(), is_whole=False
    )


def _distance(words: Sequence[str], one: Choice) -> int:
    """Tell how near an entry is: called just so, begins so, or anything else."""
    called = search_words(one.words)
    if called == words:
        return 0
    return 1 if called[: len(words)] == words else 2


def _group_of(one: Choice) -> str:
    return one.group
