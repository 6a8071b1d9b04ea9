"""The kinds of tables that are taken in, and the columns each may have.

Besides those of our files there are columns that clubs part: days and times, start and end. They
are put together before the files' own reader sees them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.inputs.club_files import fixtures
from clubplanner.inputs.club_files.squads_file import squads
from clubplanner.language import marked

if TYPE_CHECKING:
    from collections.abc import Mapping

SQUADS, MATCHES, HIRES = "squads", "matches", "hires"
LEFT_OUT = ""
"""The target of a column that is not taken in."""
DAYS, TIMES, FROM, UNTIL = "days", "times", "from", "until"
"""Columns of which "possible", or the times of a hire, are put together."""
PARTS = (DAYS, TIMES, FROM, UNTIL)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of table.

    Attributes:
        key: "squads", "matches" or "hires".
        columns: Those of our file.
        words: Each column that a table may have, by its name here, with what it is called on pages
            and in templates; in the order in which they are offered.
        required: Columns of our file that every row needs.
        named_by: The column that says what a row is about.
        template: Columns of the template, the usual ones.
    """

    key: str
    columns: tuple[str, ...]
    words: Mapping[str, str]
    required: tuple[str, ...]
    named_by: str
    template: tuple[str, ...]


_SQUAD_WORDS = {
    "squad": marked("Squad"),
    "age group": marked("Age group"),
    "players": marked("Players"),
    "goalkeepers": marked("Goalkeepers"),
    "coach": marked("Coach"),
    "coach e-mail": marked("Coach’s e-mail address"),
    "coach phone": marked("Coach’s telephone number"),
    "assistants": marked("Assistants"),
    "sessions a week": marked("Sessions a week"),
    "minutes": marked("Minutes each"),
    "possible": marked("Possible days and times"),
    DAYS: marked("Days alone"),
    TIMES: marked("Times alone"),
    FROM: marked("Time from"),
    UNTIL: marked("Time until"),
    "preferred": marked("Preferred days and times"),
    "least ground": marked("Least ground"),
    "surface": marked("Surface"),
    "needs goal": marked("Needs a goal"),
    "needs light": marked("Needs light"),
    "priority": marked("Priority"),
    "latest finish": marked("Latest finish"),
    "rest days": marked("Rest days between"),
    "free day before": marked("Free before"),
    "free day after": marked("Free after"),
    "evenings in a row": marked("Evenings in a row"),
    "wishes": marked("Wishes"),
    "other squads": marked("Other squads"),
}
_MATCH_WORDS = {
    "date": marked("Date"),
    "kick-off": marked("Kick-off"),
    "squad": marked("Squad at home"),
    "opponent": marked("Opponent"),
    "format": marked("Form of the game"),
    "minutes": marked("Minutes"),
    "warm-up": marked("Warm-up minutes"),
    "changeover": marked("Changeover minutes"),
    "pitch": marked("Pitch"),
    "officials": marked("Officials"),
    "opponents": marked("When the opponents come"),
    "note": marked("Note"),
}
_HIRE_WORDS = {
    "hirer": marked("Hirer"),
    "date": marked("Date"),
    DAYS: marked("Weekday"),
    "first": marked("First date"),
    "last": marked("Last date"),
    "every": marked("How often"),
    "not on": marked("Not on"),
    TIMES: marked("From and to"),
    FROM: marked("Time from"),
    UNTIL: marked("Time until"),
    "pitch": marked("Pitch"),
    "area": marked("Part of the pitch"),
    "contact": marked("Whom to call"),
    "phone": marked("Telephone"),
    "note": marked("Note"),
}
KINDS = {
    SQUADS: Kind(
        SQUADS,
        squads.COLUMNS,
        _SQUAD_WORDS,
        squads.REQUIRED,
        "squad",
        squads.COLUMNS[: squads.COLUMNS.index("needs light") + 1],
    ),
    MATCHES: Kind(
        MATCHES,
        fixtures.COLUMNS,
        _MATCH_WORDS,
        fixtures.REQUIRED,
        "squad",
        ("date", "kick-off", "squad", "opponent", "minutes", "pitch", "officials", "note"),
    ),
    HIRES: Kind(
        HIRES,
        tuple(_HIRE_WORDS),
        _HIRE_WORDS,
        ("hirer", "first", TIMES, "pitch"),
        "hirer",
        (
            "hirer",
            DAYS,
            "first",
            "last",
            "every",
            "not on",
            FROM,
            UNTIL,
            "pitch",
            "area",
            "contact",
            "phone",
            "note",
        ),
    ),
}
SQUADS_OF_CLUBS = replace(
    KINDS[SQUADS],
    columns=(*squads.COLUMNS, squads.CLUB),
    words={**_SQUAD_WORDS, squads.CLUB: marked("Club")},
)
"""Squads in a record that names clubs within it."""
CLUB_HEADINGS = frozenset({"club", "clubs", "verein", "vereine", "name of club", "vereinsname"})
"""Headings over the names of clubs, in plain words; known only where there are any."""
