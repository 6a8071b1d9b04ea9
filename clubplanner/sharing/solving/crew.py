"""A few processes that work on parts side by side, each within its own memory."""

from __future__ import annotations

import signal
import threading
import traceback
from contextlib import suppress
from dataclasses import dataclass, field
from multiprocessing.connection import wait
from queue import SimpleQueue
from typing import TYPE_CHECKING, Any

from clubplanner.sharing.parts.working import PartDone, work_on
from clubplanner.sharing.solving.children import STOP_WAIT_S, begin, end
from clubplanner.sharing.solving.memory import MemoryWatch, limit_memory
from clubplanner.sharing.values.brake import Brake

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

    from clubplanner.sharing.parts.cutting import Part
    from clubplanner.sharing.values.problem import Effort


@dataclass(frozen=True, slots=True)
class Report:
    """What a process tells of the part that it was given.

    Attributes:
        number: Which part.
        done: What came of it; None where the process died or failed.
        is_full: Whether it was ended because it had all the memory that it may.
        fault: What went wrong, for the log; blank where nothing did.
    """

    number: int
    done: PartDone | None
    is_full: bool = False
    fault: str = ""


@dataclass(slots=True)
class _Hand:
    """One process, and the part that it works on; None while it is idle."""

    child: BaseProcess
    pipe: Connection
    number: int | None = None


@dataclass(slots=True)
class _Job:
    """A part to be worked on, with its brake."""

    number: int
    part: Part
    effort: Effort
    brake: Brake = field(default_factory=Brake)


class Crew:
    """Processes that are begun as they are needed; one that dies is replaced."""

    def __init__(self, size: int, most_mb: float) -> None:
        """Plan for so many processes, each with so much memory."""
        self._size, self._most_mb = size, most_mb
        self._hands: list[_Hand] = []

    @property
    def is_free(self) -> bool:
        """Whether another part can be given."""
        return self._working < self._size

    @property
    def is_idle(self) -> bool:
        """Whether nothing is worked on."""
        return self._working == 0

    @property
    def pids(self) -> list[int]:
        """The numbers of its processes."""
        return [hand.child.pid for hand in self._hands if hand.child.pid is not None]

    @property
    def _working(self) -> int:
        return sum(hand.number is not None for hand in self._hands)

    def give(self, number: int, part: Part, effort: Effort) -> None:
        """Give a part to a process that is idle."""
        hand = next((one for one in self._hands if one.number is None), None)
        if hand is None:
            hand = _Hand(*begin(run_hand, self._most_mb))
            self._hands.append(hand)
        hand.number = number
        with suppress(OSError):  # it may have died; `reports` tells of that
            hand.pipe.send(("part", number, part, effort))

    def reports(self, seconds: float) -> list[Report]:
        """Wait for at most so long until a process has something to tell."""
        busy = {hand.pipe: hand for hand in self._hands if hand.number is not None}
        return [self._heard(busy[pipe]) for pipe in wait(list(busy), seconds)]  # type: ignore[index]

    def stop(self) -> None:
        """Let every process end what it does and tell what it has."""
        for hand in self._hands:
            if hand.number is not None:
                with suppress(OSError):
                    hand.pipe.send(("stop",))

    def close(self) -> None:
        """End all processes."""
        for hand in self._hands:
            hand.pipe.close()
            end(hand.child)
        self._hands = []

    def _heard(self, hand: _Hand) -> Report:
        number = -1 if hand.number is None else hand.number
        try:
            report: Report = hand.pipe.recv()
        except (EOFError, OSError):
            self._hands.remove(hand)
            hand.pipe.close()
            hand.child.join(STOP_WAIT_S)  # so that it is told how it ended by itself
            end(hand.child)
            return Report(number, None, fault=f"exit code {hand.child.exitcode}")
        hand.number = None
        if report.is_full:  # memory that a search had is not all given back
            self._hands.remove(hand)
            hand.pipe.close()
            end(hand.child)
        return report


def run_hand(pipe: Connection, most_mb: float) -> None:
    """Do a process's part: work on what comes down the pipe, one after the other."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides what an interrupt stops
    limit_memory(most_mb)
    jobs: SimpleQueue[_Job | None] = SimpleQueue()
    threading.Thread(target=_listen, args=(pipe, jobs), name="pipe", daemon=True).start()
    while (job := jobs.get()) is not None:
        report = _work(job, most_mb)
        try:
            pipe.send(report)
        except OSError:
            return  # whoever wanted it is gone


def _work(job: _Job, most_mb: float) -> Report:
    with MemoryWatch(job.brake, most_mb) as watch:
        try:
            done = work_on(job.part, job.effort, job.brake)
        except MemoryError:
            return Report(job.number, None, is_full=True, fault="no memory left")
        except Exception:
            return Report(job.number, None, fault=traceback.format_exc())
    return Report(job.number, done, watch.is_full)


def _listen(pipe: Connection, jobs: SimpleQueue[_Job | None]) -> None:
    """Take in parts, and pull the brake of the one worked on when told to stop."""
    latest: _Job | None = None
    while True:
        try:
            message: tuple[Any, ...] = pipe.recv()
        except (EOFError, OSError):
            if latest is not None:
                latest.brake.pull()
            jobs.put(None)
            return
        if message[0] == "part":
            latest = _Job(*message[1:])
            jobs.put(latest)
        elif latest is not None:
            latest.brake.pull()
