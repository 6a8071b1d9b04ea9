"""The share-out in a process of its own: the caller stays free, and its memory goes back."""

from __future__ import annotations

import multiprocessing
import signal
import traceback
from typing import TYPE_CHECKING

from clubplanner.sharing.validating import ProblemError

if TYPE_CHECKING:
    from collections.abc import Callable
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

    from clubplanner.sharing.outcome import Outcome, Progress
    from clubplanner.sharing.problem import Effort, Problem

STOP_WAIT_S = 5.0
"""How long a child that was told to stop may take before it is killed."""


class ShareOutError(RuntimeError):
    """The process that shared out ended without a result."""


def solve_in_child(
    problem: Problem,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None = None,
) -> Outcome:
    """Share out in a freshly started process.

    Args:
        problem: What to share out.
        effort: How hard to try.
        on_progress: Told of progress in the calling process. What it raises, as well as an
            interrupt, stops the child and goes on to the caller.

    Returns:
        The outcome, as `solve` gives it.

    Raises:
        ProblemError: If the problem has structural faults.
        ShareOutError: If the child failed or died.
    """
    context = multiprocessing.get_context("spawn")
    receiver, sender = context.Pipe(duplex=False)
    child = context.Process(
        target=run_child, args=(sender, problem, effort), name="share-out", daemon=True
    )
    try:
        child.start()
        sender.close()
        return _listen(child, receiver, on_progress)
    finally:
        _stop(child)
        receiver.close()


def run_child(sender: Connection, problem: Problem, effort: Effort) -> None:
    """Do the child's part: solve and send progress, then the outcome or what went wrong."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides what an interrupt stops
    from clubplanner.sharing.solve import solve

    def tell(progress: Progress) -> None:
        sender.send(("progress", progress))

    try:
        outcome = solve(problem, effort, tell)
    except ProblemError as error:
        sender.send(("faults", error.faults))
    except Exception:
        sender.send(("failed", traceback.format_exc()))
    else:
        sender.send(("outcome", outcome))
    finally:
        sender.close()


def _listen(
    child: BaseProcess, receiver: Connection, on_progress: Callable[[Progress], None] | None
) -> Outcome:
    while True:
        try:
            sort, value = receiver.recv()
        except EOFError:
            child.join(STOP_WAIT_S)
            raise ShareOutError(
                f"The share-out's process ended without a result (exit code {child.exitcode}); "
                "it may have run out of memory. Try again, or share out fewer squads at once."
            ) from None
        if sort == "progress":
            if on_progress is not None:
                on_progress(value)
        elif sort == "outcome":
            child.join(STOP_WAIT_S)
            result: Outcome = value
            return result
        elif sort == "faults":
            raise ProblemError(value)
        else:
            raise ShareOutError(f"The share-out failed in its process:\n{value}")


def _stop(child: BaseProcess) -> None:
    if child.pid is None:
        return
    if child.is_alive():
        child.terminate()
        child.join(STOP_WAIT_S)
    if child.is_alive():
        child.kill()
        child.join(STOP_WAIT_S)
