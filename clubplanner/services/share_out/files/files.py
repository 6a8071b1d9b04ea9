"""Share-outs as files: a problem in, a result out, without a database.

Between the commands and the share-out itself: faults of files become one error that carries all of
them, each with the file's name and the place in it.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from clubplanner.domain.problems import Problem as Fault
from clubplanner.errors import FaultyInputError, MissingError, RefusedError
from clubplanner.services.share_out.broken_off import told_when_broken_off
from clubplanner.sharing.again.alteration import read_alteration
from clubplanner.sharing.checks.believed import not_checked
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.example.example import example
from clubplanner.sharing.example.example_wants import with_wants
from clubplanner.sharing.files.files import (
    is_of_turns,
    read_outcome,
    read_problem,
    schema,
    write_value,
)
from clubplanner.sharing.reasons.reasons import explain_ask
from clubplanner.sharing.reasons.telling.changes import tell_change
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.reasons.unmet import unmet_wishes
from clubplanner.sharing.solving.process import (
    reshare_here,
    reshare_in_child,
    solve_here,
    solve_in_child,
)
from clubplanner.sharing.values.levels import PLACING
from clubplanner.sharing.values.outcome import Kind

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from clubplanner.sharing.again.reshare import Reshared
    from clubplanner.sharing.checks.believed import Believed
    from clubplanner.sharing.values.brake import Brake
    from clubplanner.sharing.values.outcome import Outcome, Placement, Progress, Reason, Refusal
    from clubplanner.sharing.values.problem import Effort, Problem


@dataclass(frozen=True, slots=True)
class NamedFile:
    """A file's name, to tell a person where a fault is, and its bytes."""

    name: str
    data: bytes


def problem_schema() -> str:
    """Return the JSON Schema of a problem as text."""
    return json.dumps(schema(), ensure_ascii=False, indent=1) + "\n"


def example_text(
    squads: int, pitches: int, seed: int, pressure: float, *, has_wants: bool = False
) -> str:
    """Return an invented problem as text.

    Args:
        squads: How many.
        pitches: How many.
        seed: Equal numbers give equal problems.
        pressure: What is wanted over what there is room for, about.
        has_wants: Whether to invent rest, limits, wishes, pairs and prices too.

    Raises:
        RefusedError: If a number is out of range.
    """
    try:
        problem = example(squads, pitches, seed, pressure)
    except ValueError as fault:
        raise RefusedError(str(fault)) from fault
    return write_value(with_wants(problem, seed) if has_wants else problem)


def load_problem(file: NamedFile) -> Problem:
    """Read a problem.

    Raises:
        FaultyInputError: With every fault of the file.
    """
    problem, faults = read_problem(file.data)
    if problem is None:
        raise FaultyInputError(named(file, faults))
    return problem


def load_both(problem_file: NamedFile, result_file: NamedFile) -> tuple[Problem, Outcome]:
    """Read a problem and its result.

    Raises:
        FaultyInputError: With every fault of both files.
    """
    problem, faults = read_problem(problem_file.data)
    outcome, others = _read_result(result_file)
    if problem is None or outcome is None:
        raise FaultyInputError([*named(problem_file, faults), *named(result_file, others)])
    return problem, outcome


def share_file_out(
    file: NamedFile,
    effort: Effort,
    note: Callable[[Progress], None] | None = None,
    *,
    start: NamedFile | None = None,
    brake: Brake | None = None,
) -> tuple[Problem, Outcome]:
    """Share a problem's ground out.

    Args:
        file: The problem.
        effort: How hard to try.
        note: Told how far it is.
        start: An earlier result to go on from; None to begin anew.
        brake: Given by a caller that is a process of its own: the search then runs in it and the
            brake ends it early, keeping the best. Without one the search gets its own process.

    Raises:
        FaultyInputError: With every fault of the files.
        RefusedError: If the earlier result is not true of the problem.
        ShareOutError: If the process ended without a result.
    """
    plan: Sequence[Placement] = ()
    if start is None:
        problem = load_problem(file)
    else:
        problem, outcome = load_both(file, start)
        _must_be_sound(problem, outcome, file, start)
        plan = outcome.placements
    with told_when_broken_off():
        if brake is not None:
            return problem, solve_here(problem, effort, note, brake, plan)
        return problem, solve_in_child(problem, effort, note, plan)


def reshare_file(
    problem_file: NamedFile,
    result_file: NamedFile,
    change_file: NamedFile,
    effort: Effort,
    note: Callable[[Progress], None] | None = None,
    brake: Brake | None = None,
) -> Reshared:
    """Change a result that stands as little as can be for what has come up.

    As for `share_file_out`: with a brake in the calling process, else in its own.

    Raises:
        FaultyInputError: With every fault of the files.
        RefusedError: If the result is not true of the problem.
        ShareOutError: If the process ended without a result.
    """
    problem, faults = read_problem(problem_file.data)
    outcome, others = _read_result(result_file)
    listed = [*named(problem_file, faults), *named(result_file, others)]
    alteration = None
    if problem is not None:
        alteration, more = read_alteration(change_file.data, problem)
        listed += named(change_file, more)
    if problem is None or outcome is None or alteration is None:
        raise FaultyInputError(listed)
    _must_be_sound(problem, outcome, problem_file, result_file)
    known = problem, outcome.placements, alteration, effort, note
    most = next((level.bound for level in outcome.levels if level.name == PLACING), None)
    with told_when_broken_off():
        if brake is not None:
            return reshare_here(*known, brake, most)
        return reshare_in_child(*known, known_most=most)


def untruths(problem_file: NamedFile, result_file: NamedFile) -> tuple[str, ...]:
    """List what a result claims that is not true of its problem; empty for a true result.

    Raises:
        FaultyInputError: With every fault of both files.
    """
    problem, outcome = load_both(problem_file, result_file)
    return tuple(f"{fault.code}: {fault.message}" for fault in verify(problem, outcome))


def believed_of(result_file: NamedFile) -> tuple[Believed, ...]:
    """List what of a result is not checked.

    Raises:
        FaultyInputError: With every fault of the file.
    """
    return not_checked(outcome_of(result_file))


def is_by_hand(result_file: NamedFile) -> bool:
    """Tell whether a result says that a person made its plan, of which nothing is proved.

    Raises:
        FaultyInputError: With every fault of the file.
    """
    return outcome_of(result_file).kind is Kind.BY_HAND


def refusal_of(problem_file: NamedFile, result_file: NamedFile, ask: str) -> Refusal | None:
    """Find why an ask goes without; None when it has all its sessions.

    What was left out of the result for lack of time is looked into now.

    Args:
        problem_file: The problem.
        result_file: A result that is true of it.
        ask: The ask's key, or the name of a squad with one ask.

    Raises:
        FaultyInputError: With every fault of both files.
        MissingError: If there is no such ask.
        RefusedError: If the result is not true of the problem.
    """
    problem, outcome = load_both(problem_file, result_file)
    _must_be_sound(problem, outcome, problem_file, result_file)
    return find_refusal(problem, outcome, ask)


def find_refusal(problem: Problem, outcome: Outcome, ask: str) -> Refusal | None:
    """Find why an ask goes without, of a result that is true of its problem; see `refusal_of`.

    Raises:
        MissingError: If there is no such ask.
    """
    key = _key_of(problem, ask)
    refusal = next((refusal for refusal in outcome.refusals if refusal.ask == key), None)
    if refusal is not None and refusal.is_left_out:
        is_proved = bool(outcome.levels) and outcome.levels[0].is_proved
        return explain_ask(problem, outcome.placements, key, is_proved=is_proved)
    return refusal


def wishes_of(problem_file: NamedFile, result_file: NamedFile, ask: str) -> tuple[Reason, ...]:
    """Say what stands between an ask's sessions and places it would like better.

    Args:
        problem_file: The problem.
        result_file: A result that is true of it.
        ask: The ask's key, or the name of a squad with one ask.

    Raises:
        FaultyInputError: With every fault of both files.
        MissingError: If there is no such ask.
        RefusedError: If the result is not true of the problem.
    """
    problem, outcome = load_both(problem_file, result_file)
    _must_be_sound(problem, outcome, problem_file, result_file)
    return find_wishes(problem, outcome, ask)


def find_wishes(problem: Problem, outcome: Outcome, ask: str) -> tuple[Reason, ...]:
    """Say what stands between an ask's sessions and places it would like better.

    Raises:
        MissingError: If there is no such ask.
    """
    return unmet_wishes(problem, outcome.placements, _key_of(problem, ask))


def with_words(refusal: Refusal) -> Refusal:
    """Return a refusal with its words beside its values, in the language spoken now."""
    reasons = tuple(map(reason_with_words, refusal.reasons))
    changes = tuple(replace(one, text=tell_change(one)) for one in refusal.changes)
    return replace(refusal, reasons=reasons, changes=changes)


def reason_with_words(reason: Reason) -> Reason:
    """Return a reason with its words beside its values, in the language spoken now."""
    return replace(reason, text=tell_reason(reason))


def named(file: NamedFile, faults: Sequence[Fault]) -> list[Fault]:
    """Put the file's name before the place of each fault."""
    return [Fault(f"{file.name}, {fault.where}", fault.code, fault.message) for fault in faults]


def text_of(value: Any) -> str:
    """Return a problem, a result or a part of one as the text of a file."""
    return write_value(value)


def as_json(value: Any) -> Any:
    """Return a result or a part of one as plain lists, objects and texts."""
    return json.loads(write_value(value))


def outcome_of(file: NamedFile) -> Outcome:
    """Read a result.

    Raises:
        FaultyInputError: With every fault of the file.
    """
    outcome, faults = _read_result(file)
    if outcome is None:
        raise FaultyInputError(named(file, faults))
    return outcome


def _read_result(file: NamedFile) -> tuple[Outcome | None, tuple[Fault, ...]]:
    """Read a result, or say of one of turns what reads that."""
    outcome, faults = read_outcome(file.data)
    if outcome is None and is_of_turns(file.data):
        message = "Holds turns, which clubplanner share-out check alone reads; give another result."
        return None, (Fault("$.turns", "turns", message),)
    return outcome, faults


def _must_be_sound(
    problem: Problem, outcome: Outcome, problem_file: NamedFile, result_file: NamedFile
) -> None:
    if verify(problem, outcome):
        raise RefusedError(
            f"{result_file.name} is not true of {problem_file.name}; see clubplanner share-out "
            "check for what is wrong."
        )


def _key_of(problem: Problem, text: str) -> str:
    """Find an ask by its key, or by the name of a squad with one ask.

    Raises:
        MissingError: If there is none, or if the squad has several.
    """
    if any(ask.key == text for ask in problem.asks):
        return text
    wanted = text.strip().casefold()
    named_so = [ask.key for ask in problem.asks if ask.squad_name.casefold() == wanted]
    if len(named_so) == 1:
        return named_so[0]
    if named_so:
        keys = ", ".join(named_so)
        raise MissingError(f"“{text}” has several asks; write one of their keys: {keys}.")
    raise MissingError(f"There is no ask “{text}”; write an ask's key or a squad's name.")
