"""Share-outs: a problem in, a plan out that can be checked, explained and kept."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

from clubplanner.errors import RefusedError, ShareOutError
from clubplanner.library.grounds import read_bytes
from clubplanner.services.share_out.files.files import (
    NamedFile,
    find_refusal,
    find_wishes,
    load_both,
    load_problem,
    text_of,
)
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.reasons.telling.changes import tell_change
from clubplanner.sharing.reasons.telling.telling import tell_outcome, tell_reason
from clubplanner.sharing.solving.process import ShareOutError as ProcessError
from clubplanner.sharing.solving.process import solve_in_child
from clubplanner.sharing.values.problem import Effort
from clubplanner.sharing.values.validating import ProblemError
from clubplanner.sharing.values.words import clock

if TYPE_CHECKING:
    import os

    from clubplanner.sharing.values.outcome import Outcome
    from clubplanner.sharing.values.problem import Problem

COLUMNS = ("day", "start", "end", "squad", "ground", "venue")


@dataclass(frozen=True, slots=True)
class Plan:
    """What a share-out came to; a notebook shows it as a table.

    Attributes:
        problem: What was to be shared out.
        outcome: Placements, aims with their values and proofs, who goes without and why.
    """

    problem: Problem
    outcome: Outcome

    @property
    def sentence(self) -> str:
        """Return how it ended, for a person."""
        return tell_outcome(self.outcome)

    def rows(self) -> list[dict[str, str]]:
        """Return the week as rows of texts, by day, start and ground; see `COLUMNS`.

        A table of another library takes them as they are.
        """
        grounds = {ground.key: ground for ground in self.problem.grounds}
        names = {ask.key: ask.squad_name for ask in self.problem.asks}
        placed = sorted(
            self.outcome.placements, key=lambda p: (p.day, p.start_min, grounds[p.ground].name)
        )
        return [
            dict(
                zip(
                    COLUMNS,
                    (
                        self.problem.days[place.day].name,
                        clock(place.start_min),
                        clock(place.end_min),
                        names[place.ask],
                        grounds[place.ground].name,
                        grounds[place.ground].venue,
                    ),
                    strict=True,
                )
            )
            for place in placed
        ]

    def faults(self) -> tuple[str, ...]:
        """List what the plan claims that is not true of its problem, found by separate code."""
        return tuple(f"{fault.code}: {fault.message}" for fault in verify(*self._both()))

    def explain(self, ask: str) -> str:
        """Say why a squad goes without, what would help, and which wishes are not kept.

        Args:
            ask: The ask's key, or the name of a squad with one ask.

        Raises:
            MissingError: If there is no such ask.
        """
        refusal = find_refusal(*self._both(), ask)
        lines = [*map(tell_reason, find_wishes(*self._both(), ask))]
        if refusal is not None:
            answer, *further = map(tell_reason, refusal.reasons)
            helping = [f"Would help: {tell_change(change)}" for change in refusal.changes]
            lines = [answer, *helping, *further, *lines]
        return "\n".join(lines) or f"{ask} has every session it asks for."

    def save(self, problem: str | os.PathLike[str], result: str | os.PathLike[str]) -> None:
        """Write problem and result as the files that the commands of share-outs read.

        Raises:
            RefusedError: If a file cannot be written.
        """
        for path, value in ((Path(problem), self.problem), (Path(result), self.outcome)):
            try:
                path.write_text(text_of(value), encoding="utf-8")
            except OSError as fault:
                raise RefusedError(f"{path} cannot be written: {fault.strerror}.") from fault

    def _both(self) -> tuple[Problem, Outcome]:
        return self.problem, self.outcome

    def _repr_html_(self) -> str:
        head = "".join(f"<th>{column}</th>" for column in COLUMNS)
        body = "".join(
            f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in row.values())}</tr>"
            for row in self.rows()
        )
        return f"<p>{escape(self.sentence)}</p><table><tr>{head}</tr>{body}</table>"


def solve(problem: Problem, *, seconds: float = 20.0, workers: int = 1, seed: int = 1) -> Plan:
    """Share a problem's ground out, in a process of its own.

    Args:
        problem: From a club, a file, or made of its values.
        seconds: About how long to try.
        workers: Searches side by side; with one, the same problem gives the same plan.
        seed: Start of the search's own random numbers.

    Raises:
        RefusedError: If the problem contradicts itself; the message names the faults.
        ShareOutError: If the search ended without a result.
    """
    try:
        outcome = solve_in_child(problem, Effort(seconds=seconds, workers=workers, seed=seed))
    except ProblemError as fault:
        raise RefusedError(str(fault)) from fault
    except ProcessError as fault:
        raise ShareOutError("The share-out stopped without a result; try again.") from fault
    return Plan(problem, outcome)


def read_problem(path: str | os.PathLike[str]) -> Problem:
    """Read a problem's file.

    Args:
        path: A problem as the commands of share-outs read it (JSON).

    Raises:
        FaultyInputError: With every fault of the file.
        MissingError: If it cannot be read.
    """
    return load_problem(_named(path))


def read_plan(problem: str | os.PathLike[str], result: str | os.PathLike[str]) -> Plan:
    """Read a problem and its result; `Plan.faults` tells whether they go together.

    Args:
        problem: The problem's file.
        result: Its result, as the commands of share-outs write it.

    Raises:
        FaultyInputError: With every fault of both files.
        MissingError: If one cannot be read.
    """
    return Plan(*load_both(_named(problem), _named(result)))


def _named(path: str | os.PathLike[str]) -> NamedFile:
    file = Path(path)
    return NamedFile(file.name, read_bytes(file))
