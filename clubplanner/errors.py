"""What can go wrong when a person asks for something, as one tree.

    PlannerError                 a request that cannot be done; the message says what to do next
    ├── FaultyInputError         files or forms with faults; carries every Problem found
    ├── MissingError             what was asked for is not there (any more)
    │   ├── NoClubError          no club has been loaded yet
    │   └── MarkGoneError        what has happened since a mark cannot be told any more
    ├── ClashError               the ground is held; carries who holds it and what is free
    ├── HinderedError            rules of the rule book stand in the way; carries each of them
    ├── OutdatedError            somebody else changed it first; nothing was overwritten
    ├── RefusedError             the rules of the club do not allow it
    ├── TooManyError             asked too often; carries when to try again
    ├── ShareOutError            the optimiser could not be run to an answer
    └── StoreError               the database is missing, of another version, or unguarded
        ├── AwayError            the server that keeps the records does not answer
        ├── BusyError            others held the records too long; nothing was changed
        ├── NoRoomError          the disk is full; nothing was written
        └── UnsureError          it was written, but the disk or the server may have lost it

None of these knows HTTP or an exit code: the web app and the command line each keep one table.
Faults in what a person supplied are values (`clubplanner.domain.problems.Problem`), all of them
at once; they become an exception only when a service has to stop because of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _, ngettext

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.domain.booked.bookings import Clash
    from clubplanner.domain.problems import Problem
    from clubplanner.domain.rules.case import Hindrance


class PlannerError(Exception):
    """Root of everything a person can be told in plain words."""


class FaultyInputError(PlannerError):
    """What was supplied has faults; nothing was changed.

    Attributes:
        problems: Every fault found, in the order a person would meet them.
    """

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        count = len(self.problems)
        super().__init__(
            ngettext(
                "%(num)s fault found; nothing was changed.",
                "%(num)s faults found; nothing was changed.",
                count,
            )
        )


class MissingError(PlannerError):
    """The thing asked for does not exist or is gone."""


class NoClubError(MissingError):
    """No club has been loaded yet."""

    def __init__(self) -> None:
        super().__init__(
            _(
                "There is no club yet; load its files on the page “Files” or with "
                "“clubplanner club load”."
            )
        )


class MarkGoneError(MissingError):
    """What has happened since a mark in the journal cannot be told any more."""

    def __init__(self) -> None:
        super().__init__(
            _(
                "What has happened since this mark is no longer all there: the records were "
                "brought back from a backup, or the list of changes was shortened. Read everything "
                "anew and follow from a new mark."
            )
        )


class ClashError(PlannerError):
    """The ground is already held.

    Attributes:
        clashes: Who holds it, from when to when.
        free: What is free nearby, in words, best first; may be empty.
        advice: What to do, a full sentence; may be blank.
    """

    def __init__(
        self, clashes: Sequence[Clash], free: Sequence[str] = (), advice: str = ""
    ) -> None:
        self.clashes = tuple(clashes)
        self.free = tuple(free)
        self.advice = advice
        held = "; ".join(clash.sentence for clash in self.clashes)
        message = held or _("Somebody else has just taken this ground")
        if self.free:
            message += ". " + _("Free instead: %(places)s", places="; ".join(self.free))
        super().__init__(f"{message}. {advice}".strip())


class HinderedError(PlannerError):
    """Rules of the rule book stand in the way.

    Attributes:
        hindrances: Every rule that does, in the order of the book.
        advice: What to do, a full sentence; may be blank.
    """

    def __init__(self, hindrances: Sequence[Hindrance], advice: str = "") -> None:
        self.hindrances = tuple(hindrances)
        self.advice = advice
        super().__init__(" ".join([*(one.words for one in self.hindrances), advice]).strip())


class OutdatedError(PlannerError):
    """Somebody else changed it in the meantime; their change stands."""


class RefusedError(PlannerError):
    """The club's own rules do not allow it."""


class TooManyError(PlannerError):
    """Somebody tried too often in a short time.

    Attributes:
        seconds: After how many seconds trying again makes sense.
    """

    def __init__(self, seconds: int) -> None:
        self.seconds = seconds
        minutes = -(-seconds // 60)
        super().__init__(
            ngettext(
                "That was tried too often; wait a minute, then try again.",
                "That was tried too often; wait %(num)s minutes, then try again.",
                minutes,
            )
        )


class ShareOutError(PlannerError):
    """The optimiser stopped without an answer."""


class StoreError(PlannerError):
    """The database cannot be used as it is."""


class AwayError(StoreError):
    """The server that keeps the records does not answer; whoever asks again waits as long again."""

    def __init__(self) -> None:
        super().__init__(
            _(
                "The database server does not answer, so nothing was changed. Whoever looks after "
                "it has to see to it that it runs and lets this program in; then send it again."
            )
        )


class BusyError(StoreError):
    """Others, here or in another program, held the records for longer than anybody waits."""

    def __init__(self) -> None:
        super().__init__(
            _("The club's records are busy with another change; try again in a moment.")
        )


class NoRoomError(StoreError):
    """There is no room to write; what was asked for is left undone as a whole."""

    def __init__(self) -> None:
        super().__init__(
            _(
                "The disk on which the club's records are kept is full, so nothing was changed. "
                "Make room on it, or ask whoever looks after the computer to, then send it again."
            )
        )


class UnsureError(StoreError):
    """What was asked for was written, and nobody can tell whether it stays."""

    def __init__(self) -> None:
        super().__init__(
            _(
                "This was written, but the disk or the database server failed in the same moment, "
                "so it may be lost. Look whether it is there before you send it again, and tell "
                "whoever looks after the computer."
            )
        )
