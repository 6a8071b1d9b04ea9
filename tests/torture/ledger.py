"""A client's ledger: a line for each change that it tried, in a file, however long a run is."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from enum import StrEnum
from typing import IO, TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


class Outcome(StrEnum):
    """What a client was told, in the end, of something it tried."""

    DONE = "done"
    REFUSED = "refused"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Try:
    """One line of a ledger.

    Attributes:
        mark: The words by which the records tell it, without a tabulator in them.
        kind: What was tried, by which door.
        outcome: What came of it, as the client was told.
        sends: How often it was sent.
        seconds: From the first sending to the answer.
    """

    mark: str
    kind: str
    outcome: Outcome
    sends: int
    seconds: float


@dataclass(slots=True)
class Ledger:
    """Lines in a file, and the few figures that are wanted while they are written.

    Attributes:
        path: The file; lines of a run that is gone on with are there already.
        outcomes: How many changes of each kind came to what.
        longest_s: The longest that an answer took.
        count: How many lines there are.
    """

    path: Path
    outcomes: Counter[tuple[str, Outcome]] = field(default_factory=Counter)
    longest_s: float = 0.0
    count: int = 0
    _file: IO[str] | None = None

    def __post_init__(self) -> None:
        """Count the lines that are there."""
        if self.path.exists():
            for one in self._lines():
                self._count(one)

    def add(self, one: Try) -> None:
        """Write a line."""
        if self._file is None:
            self._file = self.path.open("a")
        self._file.write(f"{one.mark}\t{one.kind}\t{one.outcome}\t{one.sends}\t{one.seconds:.3f}\n")
        self._count(one)

    def close(self) -> None:
        """Put all that was written into the file."""
        if self._file is not None:
            self._file.close()

    def __iter__(self) -> Iterator[Try]:
        """Read the lines, once the ledger is closed."""
        if self.count:
            yield from self._lines()

    def _count(self, one: Try) -> None:
        self.outcomes[one.kind, one.outcome] += 1
        self.longest_s = max(self.longest_s, one.seconds)
        self.count += 1

    def _lines(self) -> Iterator[Try]:
        with self.path.open() as file:
            for line in file:
                mark, kind, outcome, sends, seconds = line.rstrip("\n").split("\t")
                yield Try(mark, kind, Outcome(outcome), int(sends), float(seconds))
