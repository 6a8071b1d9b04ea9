"""How far a fuzz is, kept in a folder, so that it can be gone on with.

Rounds are drawn from their numbers, so the next one and what was found so far is all there is.
"""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path


@dataclass(slots=True)
class Progress:
    """How far it is, since its beginning.

    Attributes:
        what: "requests" or "files".
        following: The next round.
        sent: Requests, or files that were read.
        used_s: Seconds of the processor.
        statuses: How many answers had each.
        found: How often each thing was found that may not be.
        first: What was told of each when it was found first.
        file: Where this is kept; None for nowhere.
    """

    what: str
    following: int = 0
    sent: int = 0
    used_s: float = 0.0
    statuses: Counter[int] = field(default_factory=Counter)
    found: Counter[str] = field(default_factory=Counter)
    first: dict[str, str] = field(default_factory=dict)
    file: Path | None = None

    def note(self, what: str, told: str) -> None:
        """Count a finding, and tell it where it is the first of its sort in all goes."""
        self.found[what] += 1
        if what not in self.first:
            self.first[what] = told
            print(f"round {self.following}: {what}\n  " + told.replace("\n", "\n  "), flush=True)

    def end_round(self, sent: int, used_s: float) -> None:
        """Count a round that is over; whatever ends this program later, it is kept."""
        self.following += 1
        self.sent += sent
        self.used_s += used_s
        if self.file is None:
            return
        new = self.file.with_suffix(".new")
        kept = {name: getattr(self, name) for name in _KEPT}
        new.write_text(json.dumps(kept, indent=1))
        new.replace(self.file)


_KEPT = ("following", "sent", "used_s", "statuses", "found", "first")


def open_progress(what: str, first: int, folder: Path | None) -> Progress:
    """Return how far it is by a folder's file, or a beginning where there is none.

    Args:
        what: "requests" or "files", each with a file of its own.
        first: The round that a beginning begins with.
        folder: Where it is kept, made where it is not there; None for nowhere.
    """
    if folder is None:
        return Progress(what, first)
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / f"{what}.json"
    if not file.exists():
        return Progress(what, first, file=file)
    kept = json.loads(file.read_text())
    statuses = Counter({int(status): count for status, count in kept.pop("statuses").items()})
    found = Counter(kept.pop("found"))
    return Progress(what, statuses=statuses, found=found, file=file, **kept)
