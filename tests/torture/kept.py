"""What a run keeps in its folder, so that it can be gone on with: today, tomorrow, for days.

Beside this file lie the records themselves and each client's ledger. A go that was broken off
without a verdict left answers that no ledger has; it cannot be gone on with.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from tests.torture.club import Club
from tests.torture.doors import At, Held
from tests.torture.post import Post, Telling

if TYPE_CHECKING:
    from pathlib import Path

RUN, POST = "run.json", "post.json"
A_MONTH_DAYS = 28
"""After so long the clients' tokens lapse."""


class NotKeptError(Exception):
    """The folder holds no run that could be gone on with so."""


@dataclass(frozen=True, slots=True)
class Go:
    """What was measured of one go.

    Attributes:
        seconds: For how long clients worked.
        used_s: Seconds of the processor meanwhile, of all processes together.
        tries: How many changes were tried.
        kills: How often each part was killed.
        broken: Answers with status 500.
    """

    seconds: float
    used_s: float
    tries: int
    kills: dict[str, int]
    broken: int


@dataclass(slots=True)
class Run:
    """A run that is kept.

    Attributes:
        records: "sqlite" or "postgresql".
        clients: How many there are.
        seed: Of the first go; each later one has another that follows from it.
        begun_at: When it was begun, in seconds of 1970.
        is_at_work: Whether a go has begun and not ended.
        club: None until it is made.
        goes: Those that have ended.
        held: What each client held when the last one ended.
    """

    records: str
    clients: int
    seed: int
    begun_at: float
    is_at_work: bool = False
    club: Club | None = None
    goes: list[Go] = field(default_factory=list)
    held: list[list[Held]] = field(default_factory=list)

    @property
    def seed_of_go(self) -> int:
        """Of what is tried and killed in the go that comes."""
        return self.seed + 1000 * len(self.goes)

    def held_by(self, number: int, since: datetime) -> list[Held]:
        """Return what a client held of which nothing has begun before an instant."""
        held = self.held[number] if number < len(self.held) else []
        return [one for one in held if one.at.start >= since]

    def save(self, folder: Path, post: Post) -> None:
        """Write it down; whatever ends this program meanwhile, one whole file is there."""
        _write(folder / POST, asdict(post) | {"messages": sorted(post.messages)})
        _write(folder / RUN, asdict(self))


def open_run(folder: Path, records: str, clients: int, seed: int) -> tuple[Run, Post]:
    """Return the run of a folder and its mails, or a new one where nothing is yet.

    Raises:
        NotKeptError: If what is there is another run, or was broken off, or is too old.
    """
    now = datetime.now(UTC).timestamp()
    if not (folder / RUN).exists():
        if folder.exists() and any(folder.iterdir()):
            raise NotKeptError(f"{folder} holds something else; name an empty folder.")
        folder.mkdir(parents=True, exist_ok=True)
        return Run(records, clients, seed, now), Post()
    run = _run(json.loads((folder / RUN).read_text()))
    if (run.records, run.clients) != (records, clients):
        raise NotKeptError(f"{folder} is a run on {run.records} with {run.clients} clients.")
    if run.is_at_work:
        raise NotKeptError(f"A go in {folder} was broken off without a verdict; begin a new run.")
    if now - run.begun_at > A_MONTH_DAYS * 86400:
        raise NotKeptError(f"{folder} is older than {A_MONTH_DAYS} days; begin a new run.")
    told = json.loads((folder / POST).read_text())
    tellings = [
        Telling(message, to, uid, sequence, is_off, datetime.fromisoformat(at))
        for message, to, uid, sequence, is_off, at in told["tellings"]
    ]
    return run, Post(told["count"], set(told["messages"]), tellings)


def _run(told: dict[str, Any]) -> Run:
    club = told["club"]
    if club is not None:
        told["club"] = Club(
            club["venue"],
            {int(number): (pitch, area) for number, (pitch, area) in club["places"].items()},
            {int(number): key for number, key in club["squads"].items()},
            tuple(club["secrets"]),
        )
    told["goes"] = [Go(**one) for one in told["goes"]]
    told["held"] = [[_held(one) for one in own] for own in told["held"]]
    return Run(**told)


def _held(told: dict[str, Any]) -> Held:
    at = told["at"]
    start, end = (datetime.fromisoformat(at[name]) for name in ("start", "end"))
    return Held(told["number"], told["sequence"], At(at["area"], start, end), tuple(told["tags"]))


def _write(path: Path, told: dict[str, Any]) -> None:
    new = path.with_suffix(".new")
    new.write_text(json.dumps(told, default=_plain))
    new.replace(path)


def _plain(value: object) -> str:
    assert isinstance(value, datetime)
    return value.isoformat()
