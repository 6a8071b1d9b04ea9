"""The next season as a proposal: what each squad becomes, where each date moves, what is asked."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import day_month_year
from clubplanner.language import marked, term

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from clubplanner.domain.problems import Problem

Given = dict[str, str]
"""What was typed about one thing, field by field, as far as it is not what is proposed."""


class Fate(StrEnum):
    """What becomes of a squad; blank while nobody has said it."""

    UNDECIDED = ""
    OLDER = "older"
    SAME = "same"
    ENDS = "ends"
    MERGES = "merges"

    @property
    def goes_on(self) -> bool:
        """Whether the squad is there in the next season."""
        return self in (Fate.OLDER, Fate.SAME)


FATE_WORDS = {
    Fate.OLDER: marked("a year older"),
    Fate.SAME: marked("as it is"),
    Fate.ENDS: marked("ends"),
    Fate.MERGES: marked("merges into…"),
}
ON, END = "on", "end"
"""What becomes of parents' addresses: they go on with the squad, or end."""


@dataclass(frozen=True, slots=True)
class SquadNext:
    """A squad and what it becomes.

    Attributes:
        number: Its number in the records.
        name: What it is called now.
        age_group: Of which age it is now.
        item: Under which its answers are kept.
        shown: The values of its fields, as typed or proposed.
        fate: What becomes of it.
        into: The number of the squad that it merges into; None for none.
        becomes: What it is called next.
        becomes_group: Of which age it is next, as written.
        doubt: Why it is asked about, a sentence; blank where a rule is clear.
        hints: What else is to be looked at, sentences.
        links: How many addresses of it are in use.
        ends_links: Whether they end.
        was: What stands of its answers, as a digest.
    """

    number: int
    name: str
    age_group: str
    item: str
    shown: Mapping[str, str]
    fate: Fate
    into: int | None
    becomes: str
    becomes_group: str
    doubt: str
    hints: tuple[str, ...]
    links: int
    ends_links: bool
    was: str

    @property
    def players(self) -> int:
        """How many players it has next; 0 where what was typed is no number."""
        typed = self.shown["players"]
        return int(typed) if typed.isdecimal() and len(typed) < 5 else 0

    @property
    def fate_words(self) -> str:
        """What becomes of it, in words; blank while nobody has said it."""
        return "" if self.fate is Fate.UNDECIDED else term(FATE_WORDS[self.fate])


@dataclass(frozen=True, slots=True)
class NewSquad:
    """A squad that begins.

    Attributes:
        item: Under which it is kept.
        shown: The values of its fields as typed.
        like: The number of the squad whose asks it takes; None for none.
        was: What stands of its answers, as a digest.
    """

    item: str
    shown: Mapping[str, str]
    like: int | None
    was: str

    @property
    def name(self) -> str:
        """What it is called; blank for a row that nobody filled in."""
        return self.shown["name"]


@dataclass(frozen=True, slots=True)
class DatesNext:
    """A stretch or a break and where it moves.

    Attributes:
        number: Its number in the records.
        name: What it is called now.
        was_from: Its first date this season.
        was_until: Its last one.
        item: Under which its answers are kept.
        shown: The values of its fields, as typed or proposed.
        proposed: Those that are proposed.
        first: Its first date next season; None where what was typed is no date.
        last: Its last one, likewise.
        is_left_out: Whether there is none next season.
        doubt: Why the dates should be looked at; blank for nothing.
        was: What stands of its answers, as a digest.
    """

    number: int
    name: str
    was_from: date
    was_until: date
    item: str
    shown: Mapping[str, str]
    proposed: Mapping[str, str]
    first: date | None
    last: date | None
    is_left_out: bool
    doubt: str
    was: str

    @property
    def becomes(self) -> str:
        """What it is called next season."""
        return self.shown["name"]

    @property
    def days(self) -> int | None:
        """How many days lie between its first and its last date; None while one is no date."""
        if self.first is None or self.last is None:
            return None
        return (self.last - self.first).days

    @property
    def was_words(self) -> str:
        """Its dates this season, in words."""
        return f"{day_month_year(self.was_from)} – {day_month_year(self.was_until)}"


@dataclass(frozen=True, slots=True)
class HolidayNext:
    """A public holiday of the next season that lies in no break.

    Attributes:
        day: Its date.
        name: As the published list calls it.
        item: Under which the answer is kept.
        choice: "break", "train" or "later".
        proposed: The one that is proposed.
        was: What stands of its answer, as a digest.
    """

    day: date
    name: str
    item: str
    choice: str
    proposed: str
    was: str


@dataclass(frozen=True, slots=True)
class NextSeason:
    """The whole proposal.

    Attributes:
        starts_on: Its first date; None while nobody has said it.
        shown: The values of the fields about the season itself.
        was: What stands of their answers, as a digest.
        squads: In the club's order.
        begin: Squads that begin.
        stretches: By date.
        breaks: By date.
        holidays: Public holidays to decide about, by date.
        problems: What keeps it from being made, each at its field.
        told: What making it does, ends and loses, sentences.
        made: What stands of a next season that is made already; blank for none.
        is_begun: Whether anything was typed that is kept.
        weeks: By how many weeks stretches move; 0 where there are none.
    """

    starts_on: date | None
    shown: Mapping[str, str]
    was: str
    squads: tuple[SquadNext, ...]
    begin: tuple[NewSquad, ...]
    stretches: tuple[DatesNext, ...]
    breaks: tuple[DatesNext, ...]
    holidays: tuple[HolidayNext, ...]
    problems: tuple[Problem, ...]
    told: tuple[str, ...]
    made: str
    is_begun: bool
    weeks: int

    @property
    def undecided(self) -> tuple[SquadNext, ...]:
        """Squads of which nobody has said what becomes of them."""
        return tuple(squad for squad in self.squads if squad.fate is Fate.UNDECIDED)
