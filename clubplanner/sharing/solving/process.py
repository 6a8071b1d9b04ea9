"""The share-out in a process of its own: the caller stays free, and its memory goes back."""

from __future__ import annotations

import multiprocessing
import signal
import sys
import threading
import traceback
from contextlib import contextmanager
from types import ModuleType
from typing import TYPE_CHECKING, Any

from clubplanner.language import _, speaking, spoken
from clubplanner.sharing.values.validating import ProblemError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

    from clubplanner.sharing.again.alteration import Alteration
    from clubplanner.sharing.again.reshare import Reshared
    from clubplanner.sharing.values.brake import Brake
    from clubplanner.sharing.values.outcome import Outcome, Progress
    from clubplanner.sharing.values.problem import Effort, Placement, Problem

_BEGINNING = threading.Lock()
STOP_WAIT_S = 5.0
"""How long a child that was told to stop may take before it is killed."""


class ShareOutError(RuntimeError):
    """The process that shared out ended without a result."""


def solve_in_child(
    problem: Problem,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None = None,
    start: Sequence[Placement] = (),
) -> Outcome:
    """Share out in a freshly started process.

    It imports nothing of the program that calls, so a plain script may call this as it stands.

    Args:
        problem: What to share out.
        effort: How hard to try.
        on_progress: Told of progress in the calling process. What it raises, as well as an
            interrupt, stops the child and goes on to the caller.
        start: A plan to go on from.

    Returns:
        The outcome, as `solve` gives it.

    Raises:
        ProblemError: If the problem has structural faults.
        ShareOutError: If the child failed or died.
    """
    outcome: Outcome = _in_child(run_child, (problem, effort, tuple(start)), on_progress)
    return outcome


def reshare_in_child(
    problem: Problem,
    standing: Sequence[Placement],
    alteration: Alteration,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None = None,
) -> Reshared:
    """Share out again in a freshly started process.

    Args:
        problem: The problem as it was.
        standing: The plan that stands.
        alteration: What has come up.
        effort: How hard to try.
        on_progress: As for `solve_in_child`.

    Returns:
        The result, as `reshare` gives it.

    Raises:
        ProblemError: If the altered problem has structural faults.
        ShareOutError: If the child failed or died.
    """
    arguments = (problem, tuple(standing), alteration, effort)
    result: Reshared = _in_child(run_reshare_child, arguments, on_progress)
    return result


def solve_here(
    problem: Problem,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None,
    brake: Brake,
    start: Sequence[Placement] = (),
) -> Outcome:
    """Share out in the calling process, which is one for nothing else; see `solve`."""
    from clubplanner.sharing.solving.solve import solve

    return solve(problem, effort, on_progress, brake, start)


def reshare_here(
    problem: Problem,
    standing: Sequence[Placement],
    alteration: Alteration,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None,
    brake: Brake,
) -> Reshared:
    """Share out again in the calling process, which is one for nothing else; see `reshare`."""
    from clubplanner.sharing.again.reshare import reshare

    return reshare(problem, standing, alteration, effort, on_progress, brake)


def _in_child(
    target: Callable[..., None],
    arguments: tuple[object, ...],
    on_progress: Callable[[Progress], None] | None,
) -> Any:
    context = multiprocessing.get_context("spawn")
    receiver, sender = context.Pipe(duplex=False)
    child = context.Process(
        target=_speak, args=(spoken(), target, sender, *arguments), name="share-out", daemon=True
    )
    try:
        with _no_script():
            child.start()
        sender.close()
        return _listen(child, receiver, on_progress)
    finally:
        _stop(child)
        receiver.close()


@contextmanager
def _no_script() -> Iterator[None]:
    """Keep a child that begins meanwhile from running the calling script once more.

    A spawned process imports the main module of the one that begins it. The share-out needs
    nothing of that, and a script without a guard would begin a share-out there, and so on.
    """
    with _BEGINNING:
        script = sys.modules["__main__"]
        sys.modules["__main__"] = ModuleType("__main__")
        try:
            yield
        finally:
            sys.modules["__main__"] = script


def _speak(language: str, target: Callable[..., None], *arguments: object) -> None:
    """Do the child's part in the language of whoever started it."""
    with speaking(language):
        target(*arguments)


def run_child(
    sender: Connection, problem: Problem, effort: Effort, start: tuple[Placement, ...] = ()
) -> None:
    """Do the child's part: solve and send progress, then the outcome or what went wrong."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides what an interrupt stops
    from clubplanner.sharing.solving.solve import solve

    _report(sender, lambda tell: solve(problem, effort, tell, start=start))


def run_reshare_child(
    sender: Connection,
    problem: Problem,
    standing: tuple[Placement, ...],
    alteration: Alteration,
    effort: Effort,
) -> None:
    """Do the child's part of sharing out again."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    from clubplanner.sharing.again.reshare import reshare

    _report(sender, lambda tell: reshare(problem, standing, alteration, effort, tell))


def _report(sender: Connection, work: Callable[[Callable[[Progress], None]], object]) -> None:
    """Do the work and send its progress, then what it gives or what went wrong."""
    try:
        result = work(lambda progress: sender.send(("progress", progress)))
    except ProblemError as error:
        sender.send(("faults", error.faults))
    except Exception:
        sender.send(("failed", traceback.format_exc()))
    else:
        sender.send(("outcome", result))
    finally:
        sender.close()


def _listen(
    child: BaseProcess, receiver: Connection, on_progress: Callable[[Progress], None] | None
) -> Any:
    while True:
        try:
            sort, value = receiver.recv()
        except EOFError:
            child.join(STOP_WAIT_S)
            raise ShareOutError(
                _(
                    "The share-out's process ended without a result (exit code %(exitcode)s); it "
                    "may have run out of memory. Try again, or share out fewer squads at once.",
                    exitcode=child.exitcode,
                )
            ) from None
        if sort == "progress":
            if on_progress is not None:
                on_progress(value)
        elif sort == "outcome":
            child.join(STOP_WAIT_S)
            return value
        elif sort == "faults":
            raise ProblemError(value)
        else:
            raise ShareOutError(_("The share-out failed in its process:\n%(value)s", value=value))


def _stop(child: BaseProcess) -> None:
    if child.pid is None:
        return
    if child.is_alive():
        child.terminate()
        child.join(STOP_WAIT_S)
    if child.is_alive():
        child.kill()
        child.join(STOP_WAIT_S)
