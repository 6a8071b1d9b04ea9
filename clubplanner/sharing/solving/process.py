"""The share-out in a process of its own: the caller stays free, and its memory goes back.

What is too large for one model is shared out in parts (`in_parts.py`), in processes of their own,
whoever calls. A process that dies leaves the best plan that it had told of.
"""

from __future__ import annotations

import signal
import threading
import traceback
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from clubplanner.language import _
from clubplanner.sharing.solving.children import STOP_WAIT_S, begin, end
from clubplanner.sharing.solving.memory import MemoryWatch, limit_memory
from clubplanner.sharing.solving.sizes import too_large
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.outcome import CutShort
from clubplanner.sharing.values.validating import ProblemError, validate

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

    from clubplanner.sharing.again.alteration import Alteration
    from clubplanner.sharing.again.reshare import Reshared
    from clubplanner.sharing.values.outcome import Outcome, Progress
    from clubplanner.sharing.values.problem import Effort, Placement, Problem

LOOK_UP_S = 0.2
"""How often the brake is looked at while a child searches."""


class ShareOutError(RuntimeError):
    """The process that shared out ended without a result."""


class OutOfMemoryError(ShareOutError):
    """It ended for lack of memory before there was a plan."""


class _DiedError(ShareOutError):
    """The process died.

    Attributes:
        plan: The last plan that it told of; None for none.
        is_full: Whether it was for lack of memory, as far as can be told.
    """

    def __init__(self, text: str, plan: tuple[Placement, ...] | None, *, is_full: bool) -> None:
        super().__init__(text)
        self.plan, self.is_full = plan, is_full


def solve_in_child(
    problem: Problem,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None = None,
    start: Sequence[Placement] = (),
    brake: Brake | None = None,
) -> Outcome:
    """Share out in a freshly started process.

    It imports nothing of the program that calls, so a plain script may call this as it stands.

    Args:
        problem: What to share out.
        effort: How hard to try.
        on_progress: Told of progress in the calling process. What it raises, as well as an
            interrupt, stops the child and goes on to the caller.
        start: A plan to go on from.
        brake: Ends the search early and keeps the best plan found so far.

    Returns:
        The outcome, as `solve` gives it; of a child that died, its best plan until then.

    Raises:
        ProblemError: If the problem has structural faults.
        ShareOutError: If the child failed, or died before it had a plan.
    """
    brake = brake or Brake()
    large = _outcome_in_parts(problem, effort, on_progress, brake, start)
    if large is not None:
        return large
    try:
        arguments = (problem, effort, tuple(start))
        outcome: Outcome = _in_child(run_child, arguments, on_progress, brake)
    except _DiedError as death:
        plan = tuple(start) if death.plan is None else death.plan
        if not plan:
            raise _known(death) from death
        from clubplanner.sharing.solving.kept import outcome_of_plan

        why = CutShort.MEMORY if death.is_full else CutShort.PROCESS
        return outcome_of_plan(problem, effort, plan, why)
    return outcome


def reshare_in_child(
    problem: Problem,
    standing: Sequence[Placement],
    alteration: Alteration,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None = None,
    brake: Brake | None = None,
    known_most: int | None = None,
) -> Reshared:
    """Share out again in a freshly started process, within its memory.

    Args:
        problem: The problem as it was.
        standing: The plan that stands.
        alteration: What has come up.
        effort: How hard to try.
        on_progress: As for `solve_in_child`.
        brake: Ends the search early and keeps the best plan found so far.
        known_most: As for `reshare`.

    Returns:
        The result, as `reshare` gives it; of a child that died, its best plan until then.

    Raises:
        ProblemError: If the altered problem has structural faults.
        ShareOutError: If the child failed, or died before it had a plan.
    """
    arguments = (problem, tuple(standing), alteration, effort, known_most)
    try:
        result: Reshared = _in_child(run_reshare_child, arguments, on_progress, brake)
    except _DiedError as death:
        if death.plan is None:
            raise _known(death) from death
        from clubplanner.sharing.solving.kept import reshared_of_plan

        why = CutShort.MEMORY if death.is_full else CutShort.PROCESS
        return reshared_of_plan(problem, standing, alteration, death.plan, effort, why)
    return result


def solve_here(
    problem: Problem,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None,
    brake: Brake,
    start: Sequence[Placement] = (),
) -> Outcome:
    """Share out in the calling process, which is one for nothing else; see `solve`.

    What is too large for that is shared out in parts, in processes of their own.
    """
    from clubplanner.sharing.solving.solve import solve

    large = _outcome_in_parts(problem, effort, on_progress, brake, start)
    if large is not None:
        return large
    inner = Brake()
    with MemoryWatch(inner, effort.memory_mb, follows=brake) as watch:
        outcome = solve(problem, effort, on_progress, inner, start)
    return replace(outcome, cut_short=CutShort.MEMORY) if watch.is_full else outcome


def reshare_here(
    problem: Problem,
    standing: Sequence[Placement],
    alteration: Alteration,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None,
    brake: Brake,
    known_most: int | None = None,
) -> Reshared:
    """Share out again in the calling process, within its memory; see `reshare`."""
    inner = Brake()
    with MemoryWatch(inner, effort.memory_mb, follows=brake) as watch:
        done = _share_again(
            problem, standing, alteration, effort, on_progress, inner, known_most=known_most
        )
    return _told_short(done, watch)


def _share_again(
    problem: Problem,
    standing: Sequence[Placement],
    alteration: Alteration,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None,
    brake: Brake,
    on_plan: Callable[[tuple[Placement, ...]], None] | None = None,
    known_most: int | None = None,
) -> Reshared:
    """Share out again in this process, near the change alone where the whole is too large."""
    from clubplanner.sharing.again.alteration import alter
    from clubplanner.sharing.again.reshare import reshare

    altered = alter(problem, alteration)
    faults = validate(altered)
    if faults:
        raise ProblemError(faults)
    known = too_large(altered, effort)
    if known is None:
        return reshare(
            problem, standing, alteration, effort, on_progress, brake, on_plan, known_most
        )
    from clubplanner.sharing.solving.again_in_parts import reshare_in_parts

    return reshare_in_parts(
        problem, standing, *known, effort, on_progress, brake, on_plan, known_most
    )


def _told_short(done: Reshared, watch: MemoryWatch) -> Reshared:
    """Let a result say where its memory ended the search."""
    if not watch.is_full:
        return done
    return replace(done, outcome=replace(done.outcome, cut_short=CutShort.MEMORY))


def _outcome_in_parts(
    problem: Problem,
    effort: Effort,
    on_progress: Callable[[Progress], None] | None,
    brake: Brake,
    start: Sequence[Placement],
) -> Outcome | None:
    """Share out in parts what is too large to be shared out as one; None for all else."""
    faults = validate(problem)
    if faults:
        raise ProblemError(faults)
    known = too_large(problem, effort)
    if known is None:
        return None
    from clubplanner.sharing.solving.in_parts import solve_in_parts

    return solve_in_parts(*known, effort, on_progress, brake, start)


def _in_child(
    target: Callable[..., None],
    arguments: tuple[object, ...],
    on_progress: Callable[[Progress], None] | None,
    brake: Brake | None = None,
) -> Any:
    child, pipe = begin(target, *arguments)
    try:
        return _listen(child, pipe, on_progress, brake or Brake())
    finally:
        end(child)
        pipe.close()


def run_child(
    pipe: Connection, problem: Problem, effort: Effort, start: tuple[Placement, ...] = ()
) -> None:
    """Do the child's part: solve and send progress, plans, then the outcome or what went wrong."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides what an interrupt stops
    from clubplanner.sharing.solving.solve import solve

    limit_memory(effort.memory_mb)
    brake = Brake()
    threading.Thread(target=_obey, args=(pipe, brake), name="pipe", daemon=True).start()

    def work(tell: Callable[[Progress], None]) -> Outcome:
        with MemoryWatch(brake, effort.memory_mb) as watch:
            outcome = solve(
                problem, effort, tell, brake, start, lambda plan: pipe.send(("plan", plan))
            )
        return replace(outcome, cut_short=CutShort.MEMORY) if watch.is_full else outcome

    _report(pipe, work)


def _obey(pipe: Connection, brake: Brake) -> None:
    """Pull the brake once the caller says so, or is gone."""
    with suppress(EOFError, OSError):
        pipe.recv()
    brake.pull()


def run_reshare_child(
    pipe: Connection,
    problem: Problem,
    standing: tuple[Placement, ...],
    alteration: Alteration,
    effort: Effort,
    known_most: int | None = None,
) -> None:
    """Do the child's part of sharing out again; see `run_child`."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    limit_memory(effort.memory_mb)
    brake = Brake()
    threading.Thread(target=_obey, args=(pipe, brake), name="pipe", daemon=True).start()

    def work(tell: Callable[[Progress], None]) -> Reshared:
        with MemoryWatch(brake, effort.memory_mb) as watch:
            done = _share_again(
                problem,
                standing,
                alteration,
                effort,
                tell,
                brake,
                lambda plan: pipe.send(("plan", plan)),
                known_most,
            )
        return _told_short(done, watch)

    _report(pipe, work)


def _report(sender: Connection, work: Callable[[Callable[[Progress], None]], object]) -> None:
    """Do the work and send its progress, then what it gives or what went wrong."""
    try:
        result = work(lambda progress: sender.send(("progress", progress)))
    except ProblemError as error:
        sender.send(("faults", error.faults))
    except MemoryError:
        sender.send(("full", ""))
    except Exception:
        sender.send(("failed", traceback.format_exc()))
    else:
        sender.send(("outcome", result))


def _listen(
    child: BaseProcess,
    pipe: Connection,
    on_progress: Callable[[Progress], None] | None,
    brake: Brake,
) -> Any:
    """Take in what the child says until it has a result."""
    plan: tuple[Placement, ...] | None = None
    is_told = False
    while True:
        if brake.is_pulled and not is_told:
            is_told = True
            _tell_to_stop(pipe)
        try:
            if not pipe.poll(LOOK_UP_S):
                continue
            sort, value = pipe.recv()
        except (EOFError, OSError):
            child.join(STOP_WAIT_S)
            raise _died(plan, child.exitcode, is_full=child.exitcode == -signal.SIGABRT) from None
        if sort == "plan":
            plan = value
        elif sort != "progress":
            return _result(sort, value, plan, child)
        elif on_progress is not None:
            on_progress(value)


def _result(
    sort: str, value: Any, plan: tuple[Placement, ...] | None, child: BaseProcess
) -> object:
    """Return what the child came to, or raise what it says went wrong."""
    if sort == "outcome":
        child.join(STOP_WAIT_S)
        return value
    if sort == "faults":
        raise ProblemError(value)
    if sort == "full":
        raise _died(plan, child.exitcode, is_full=True)
    raise ShareOutError(_("The share-out failed in its process:\n%(value)s", value=value))


def _tell_to_stop(pipe: Connection) -> None:
    try:
        pipe.send("stop")
    except OSError:
        return  # it has died, and is heard of as such


def _known(death: _DiedError) -> ShareOutError:
    """Return what is raised where a process died before it had a plan."""
    if not death.is_full:
        return death
    return OutOfMemoryError(
        _(
            "The search needs more memory than it may have, and ended before it had a plan. "
            "Allow more memory, or share out fewer squads at once."
        )
    )


def _died(plan: tuple[Placement, ...] | None, exitcode: int | None, *, is_full: bool) -> _DiedError:
    text = _(
        "The share-out's process ended without a result (exit code %(exitcode)s); it "
        "may have run out of memory. Try again, or share out fewer squads at once.",
        exitcode=exitcode,
    )
    return _DiedError(text, plan, is_full=is_full)
