"""Lists in the squad's form, where only known words are understood."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.inputs.club_files.spoken_cells import YES_NO
from clubplanner.inputs.club_files.squads_file.least_ground import SHARES
from clubplanner.inputs.club_files.squads_file.wants import MOST_PRIORITY
from clubplanner.language import _, short_weekday, term
from clubplanner.services.showing.choosing.choices import Choice

if TYPE_CHECKING:
    from clubplanner.services.setup.squads.forms import SquadForm

AGES = (*(f"U{age}" for age in range(6, 20)), "U21", "Adult")
"""Proposed while an age group is typed; any other is taken, too."""


@dataclass(frozen=True, slots=True)
class SquadLists:
    """What can be chosen, in the language spoken now.

    Attributes:
        yes_no: No comes first, as it is usual.
        surfaces: Those that the club has.
        priorities: The usual one is blank.
        days: Of the week.
        ages: Proposed age groups.
        grounds: Proposed sizes.
    """

    yes_no: tuple[Choice, ...]
    surfaces: tuple[Choice, ...]
    priorities: tuple[Choice, ...]
    days: tuple[Choice, ...]
    ages: tuple[str, ...]
    grounds: tuple[str, ...]


def squad_lists(form: SquadForm) -> SquadLists:
    """Return the lists of a squad's form."""
    usual, last = _("1, the usual"), _("%(number)s, first of all", number=MOST_PRIORITY)
    between = [Choice(str(number), str(number)) for number in range(2, MOST_PRIORITY)]
    return SquadLists(
        yes_no=tuple(Choice(term(word), term(word)) for word in reversed(YES_NO)),
        surfaces=tuple(Choice(term(word), term(word)) for word in form.surfaces),
        priorities=(Choice("", usual), *between, Choice(str(MOST_PRIORITY), last)),
        days=tuple(Choice(short_weekday(n), short_weekday(n)) for n in range(7)),
        ages=AGES,
        grounds=(*(term(word) for word in SHARES), *form.formats),
    )


def words_of(text: str) -> list[str]:
    """Return the words of a cell that holds several, in order."""
    return list(dict.fromkeys(part.strip() for part in text.split(",") if part.strip()))
