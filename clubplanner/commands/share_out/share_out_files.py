"""The share-out commands that work on files alone, without a club's database."""

from __future__ import annotations

import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base.files_on_disk import (
    STANDARD,
    read_bytes,
    refuse_both_on_output,
    write_file,
)
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.ranges import SEED
from clubplanner.commands.base.searching import search
from clubplanner.commands.share_out.turns_checked import turns_as_json, turns_in_words
from clubplanner.services.share_out.files.added_up import Certified, Sum, certified, sum_of
from clubplanner.services.share_out.files.files import (
    NamedFile,
    believed_of,
    example_text,
    is_by_hand,
    problem_schema,
    reason_with_words,
    refusal_of,
    reshare_file,
    share_file_out,
    text_of,
    untruths,
    wishes_of,
    with_words,
)
from clubplanner.services.share_out.files.files import (
    as_json as plain_json,
)
from clubplanner.services.share_out.files.files_of_turns import check_turns, has_turns
from clubplanner.sharing.reasons.telling.changes import tell_change
from clubplanner.sharing.reasons.telling.telling import tell_outcome, tell_reason
from clubplanner.sharing.values.problem import (
    LEAST_MEMORY_MB,
    MOST_MEMORY_MB,
    USUAL_MEMORY_MB,
    Effort,
)
from clubplanner.sharing.values.words import clock, place_and_time

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.sharing.again.reshare import Reshared
    from clubplanner.sharing.values.outcome import Level, Outcome, Refusal
    from clubplanner.sharing.values.problem import Problem

UNTRUE = 1
"""Exit code for a result that is not true; faulty files give 2."""

_FILE = click.Path(path_type=Path)


memory_option = click.option(
    "--memory",
    "memory_mb",
    default=USUAL_MEMORY_MB,
    show_default=True,
    type=click.IntRange(LEAST_MEMORY_MB, MOST_MEMORY_MB),
    help="Memory that it may use, in MB; of what needs more the best plan until then is kept.",
)
"""How much memory a share-out may use."""


def _with_effort(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the options that say how hard to try."""
    for option in (
        click.option("--seed", default=1, show_default=True, type=SEED),
        click.option("--workers", default=1, show_default=True, type=click.IntRange(1, 64)),
        click.option(
            "--seconds",
            default=30.0,
            show_default=True,
            type=click.FloatRange(1, 86_400),
            help="About how long to try.",
        ),
    ):
        command = option(command)
    return command


@click.command(name="show-schema")
@tells_faults
def schema() -> None:
    """Print the JSON Schema of a problem."""
    click.echo(problem_schema(), nl=False)


@click.command(name="draw-example")
@click.option("--squads", default=40, show_default=True, type=click.IntRange(1, 1_000))
@click.option("--pitches", default=4, show_default=True, type=click.IntRange(1, 200))
@click.option("--seed", default=1, show_default=True, type=SEED)
@click.option(
    "--pressure",
    default=1.0,
    show_default=True,
    type=click.FloatRange(0.1, 10),
    help="What is wanted over what there is room for, about.",
)
@click.option(
    "--wants",
    "has_wants",
    is_flag=True,
    help="With rest days, latest finishes, load limits, wishes, pairs of squads and prices.",
)
@tells_faults
def example(squads: int, pitches: int, seed: int, pressure: float, has_wants: bool) -> None:
    """Print an invented problem; equal numbers give the same one."""
    click.echo(example_text(squads, pitches, seed, pressure, has_wants=has_wants), nl=False)


@click.command()
@click.argument("problem", type=_FILE)
@click.option("--from", "earlier", type=_FILE, help="An earlier result to go on from.")
@click.option("--output", type=_FILE, help="Write the result here, for the other commands.")
@_with_effort
@memory_option
@json_option
@tells_faults
def solve(
    problem: Path,
    earlier: Path | None,
    output: Path | None,
    seconds: float,
    workers: int,
    seed: int,
    memory_mb: int,
    as_json: bool,
) -> None:
    """Share out the PROBLEM of a file; --json prints the result for the other commands.

    Ctrl-C ends it and keeps the best plan found so far; --from goes on from that.
    """
    refuse_both_on_output(output, as_json=as_json)
    effort = Effort(seconds=seconds, workers=workers, seed=seed, memory_mb=memory_mb)
    file = read_named(problem)
    start = None if earlier is None else read_named(earlier)
    (known, outcome), is_stopped = search(
        "Sharing out",
        lambda note, brake: share_file_out(file, effort, note, start=start, brake=brake),
    )
    if output is not None:
        write_text(output, text_of(outcome))
    words = result_in_words(known, outcome)
    if is_stopped:
        words += "\nStopped early; --from goes on from a result that was kept."
    if output != STANDARD:
        say(words, plain_json(outcome), as_json=as_json)


@click.command()
@click.argument("problem", type=_FILE)
@click.argument("result", type=_FILE)
@click.option(
    "--show-sum",
    "shows_sum",
    is_flag=True,
    help="Print the addition by which prices prove what no plan can pass.",
)
@json_option
@tells_faults
def check(problem: Path, result: Path, shows_sum: bool, as_json: bool) -> None:
    """Check with separate code that RESULT is a sound plan for PROBLEM and tells the truth.

    RESULT may be one of turns as well: then who has which place on each date.
    Exits with 0 when it does, 1 when it does not, 2 when a file has faults. What is not checked is
    listed, each with its reason.
    """
    files = read_named(problem), read_named(result)
    if has_turns(files[1]):
        done = check_turns(*files)
        say("\n".join(turns_in_words(done)), turns_as_json(done), as_json=as_json)
        sys.exit(UNTRUE if done.faults else 0)
    found = untruths(*files)
    proof = None if found else certified(files[1])
    added = sum_of(*files) if shows_sum and not found else None
    believed, by_hand = believed_of(files[1]), is_by_hand(files[1])
    words = [
        *(found or ["The plan is sound, and what was checked of the result is true."]),
        *(["It was made by hand; nothing is proved about it."] if by_hand and not found else ()),
        *(() if proof is None else (_proof_in_words(proof),)),
        *(() if added is None else sum_in_words(*added)),
        *(f"Not checked: {what.why}." for what in believed),
    ]
    value = {
        "is_true": not found,
        "faults": list(found),
        "is_by_hand": by_hand,
        "certified": None if proof is None else asdict(proof),
        "sum": None if added is None else sum_as_json(added[1]),
        "turns": None,
        "not_checked": [asdict(what) for what in believed],
    }
    say("\n".join(words), value, as_json=as_json)
    if found:
        sys.exit(UNTRUE)


def sum_in_words(problem: Problem, added: Sum) -> list[str]:
    """Write an addition line by line, so that anybody can follow it."""

    def points(parts: int) -> str:
        return f"{parts / added.parts:.{len(str(added.parts)) - 1}f}"

    days = [day.name for day in problem.days]
    lines = ["Prices, each of a moment that one session at most can have:"]
    lines += [
        f"  {days[at.day]} {clock(at.minute)}, {at.pitch}, cell {at.cells.bit_length() - 1}: "
        f"{points(at.price)}"
        for at in added.certificate.ground_prices
    ]
    lines += [
        f"  {days[of.day]} {clock(of.minute)}, {of.squad or of.coach}: {points(of.price)}"
        for of in added.certificate.person_prices
    ]
    lines.append("Let every squad take what it likes best at them, whoever else wants it:")
    for gain in added.gains:
        took = [
            f"{place_and_time(problem, one.placement)} ({points(one.points)} − {points(one.price)})"
            for one in gain.taken
        ]
        took += [f"{points(gain.first)} for the first session"] if gain.first else []
        lines.append(f"  {gain.squad_name}: {points(gain.gained)}")
        lines += [f"    {one}" for one in took]
    gained = sum(gain.gained for gain in added.gains)
    return [
        *lines,
        f"All that they gain: {points(gained)}. Every price once: {points(added.prices)}.",
        f"Together {points(added.total)}: no plan reaches more than {added.most} points.",
    ]


def sum_as_json(added: Sum) -> dict[str, object]:
    """Write an addition for a program, in parts of a point."""
    gains = [
        {
            "squad_name": gain.squad_name,
            "taken": [
                {"placement": plain_json(one.placement), "points": one.points, "price": one.price}
                for one in gain.taken
            ],
            "first": gain.first,
            "gained": gain.gained,
        }
        for gain in added.gains
    ]
    return {
        "parts": added.parts,
        "prices": added.prices,
        "gains": gains,
        "total": added.total,
        "most": added.most,
    }


def _proof_in_words(proof: Certified) -> str:
    words = f"Added up from its prices: no plan reaches more than {proof.most} points in placing."
    return words if proof.is_bound else f"{words} The search's lower bound is not certified."


@click.command()
@click.argument("problem", type=_FILE)
@click.argument("result", type=_FILE)
@click.argument("ask")
@json_option
@tells_faults
def explain(problem: Path, result: Path, ask: str, as_json: bool) -> None:
    """Say why ASK (its key, or its squad's name) goes without or has less than it would like."""
    files = read_named(problem), read_named(result)
    refusal, wishes = refusal_of(*files, ask), wishes_of(*files, ask)
    missing = [f"{ask} has every session it asks for."] if refusal is None else lines_of(refusal)
    value = {
        "answer": "" if refusal is None else tell_reason(refusal.reasons[0]),
        "refusal": None if refusal is None else plain_json(with_words(refusal)),
        "wishes": [plain_json(reason_with_words(reason)) for reason in wishes],
    }
    say("\n".join([*missing, *map(tell_reason, wishes)]), value, as_json=as_json)


@click.command()
@click.argument("problem", type=_FILE)
@click.argument("result", type=_FILE)
@click.argument("change", type=_FILE)
@_with_effort
@memory_option
@click.option("--new-problem", type=_FILE, help="Write the problem as it then is here.")
@click.option("--new-result", type=_FILE, help="Write the new result here, for check and explain.")
@json_option
@tells_faults
def reshare(
    problem: Path,
    result: Path,
    change: Path,
    seconds: float,
    workers: int,
    seed: int,
    memory_mb: int,
    new_problem: Path | None,
    new_result: Path | None,
    as_json: bool,
) -> None:
    """Change RESULT as little as can be for the CHANGE of a file.

    CHANGE is an object that may have closures, asks_added, asks_changed, squads_dropped and pins.
    All that can be placed is placed; then the fewest squads are disturbed; then they move least.
    It begins with RESULT, so there is no --from.
    """
    effort = Effort(seconds=seconds, workers=workers, seed=seed, memory_mb=memory_mb)
    files = read_named(problem), read_named(result), read_named(change)
    done, _is_stopped = search(
        "Sharing out again", lambda note, brake: reshare_file(*files, effort, note, brake)
    )
    for path, value in ((new_problem, done.problem), (new_result, done.outcome)):
        if path is not None:
            write_text(path, text_of(value))
    say(moves_in_words(done), plain_json(done), as_json=as_json)


def read_named(path: Path) -> NamedFile:
    """Read a file from disk.

    Raises:
        MissingError: If it cannot be read.
    """
    name = "standard input" if path == STANDARD else path.name
    return NamedFile(name, read_bytes(path))


def write_text(path: Path, text: str) -> None:
    """Write a file to disk.

    Raises:
        MissingError: If it cannot be written.
    """
    write_file(path, text.encode())


def moves_in_words(done: Reshared) -> str:
    """Write a re-share for a person: how it ended, then each session that is not where it was."""
    lines = [done.sentence, *(level_in_words(level) for level in done.outcome.levels)]
    for move in done.moves:
        ends = [
            "no place" if place is None else place_and_time(done.problem, place)
            for place in (move.old, move.new)
        ]
        lines.append(f"{move.squad_name}: {ends[0]} → {ends[1]}")
    for refusal in done.outcome.refusals:
        lines += lines_of(refusal)
    return "\n".join(lines)


def result_in_words(problem: Problem, outcome: Outcome) -> str:
    """Write a result for a person: how it ended, the week, who goes without and why."""
    names = {ask.key: ask.squad_name for ask in problem.asks}
    lines = [tell_outcome(outcome), *(level_in_words(level) for level in outcome.levels)]
    lines += [
        f"{place_and_time(problem, place)}: {names[place.ask]}" for place in outcome.placements
    ]
    for refusal in outcome.refusals:
        lines += lines_of(refusal)
    return "\n".join(lines)


def level_in_words(level: Level) -> str:
    """Write an aim with its value and proof."""
    if level.is_proved:
        return f"  {level.name}: {level.value}, proved best"
    return f"  {level.name}: {level.value}, at best {level.bound} (gap {100 * level.gap:.1f} %)"


def lines_of(refusal: Refusal) -> list[str]:
    """Write why an ask goes without."""
    answer, *further = map(tell_reason, refusal.reasons)
    lines = [f"{refusal.squad_name}, {refusal.missing} missing:", f"  {answer}"]
    lines += [f"  Would help: {tell_change(change)}" for change in refusal.changes]
    lines += [f"  In the way: {words}" for words in further]
    return lines


COMMANDS = (schema, example, solve, check, explain, reshare)
"""What the group of share-out commands takes in."""
