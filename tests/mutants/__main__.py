"""The command: `python -m tests.mutants [GROUP, MODULE or NUMBER …] [--list]`."""

from __future__ import annotations

import argparse
import math
import os
import re
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass, field
from multiprocessing import get_context
from pathlib import Path

from tests.mutants.changes import Mutant, mutants_of
from tests.mutants.equivalents import Equivalent, read_equivalents
from tests.mutants.groups import GROUPS, modules_asked_for
from tests.mutants.running import (
    LONG_S,
    SPARE_S,
    WITHOUT_CLUB,
    Fate,
    NotReadyError,
    fault_in,
    load_bystanders,
    load_libraries,
    run_tests,
)

AIM_PERCENT = 95
_NUMBER = re.compile(r"[0-9a-f]{6}")
_NOT_COPIED = shutil.ignore_patterns(".*", "__pycache__", "node_modules", "build", "dist")
_IN_COPY = "--in-copy"


@dataclass(slots=True)
class Score:
    """What became of the mutants of one module."""

    killed: int = 0
    equivalent: int = 0
    survivors: list[Mutant] = field(default_factory=list)

    @property
    def percent(self) -> float:
        """Killed among all that are faults."""
        counted = self.killed + len(self.survivors)
        return 100.0 * self.killed / counted if counted else 100.0


def main() -> int:
    """Run the command.

    Returns:
        0 when every module reaches the aim, 1 otherwise.
    """
    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__)
    parser.add_argument("what", nargs="*", help=f"{', '.join(GROUPS)}; a module; a mutant's number")
    parser.add_argument("--list", action="store_true", help="tell the mutants, run nothing")
    parser.add_argument(_IN_COPY, action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    every = {name for group in GROUPS.values() for name in group}
    unknown = [
        w for w in asked.what if w not in GROUPS and w not in every and not _NUMBER.fullmatch(w)
    ]
    if unknown:
        parser.error(
            f"no group, module or mutant: {', '.join(unknown)}; see tests/mutants/groups.py"
        )
    if not (asked.list or asked.in_copy):
        return _run_in_copy(sys.argv[1:])
    numbers = {word for word in asked.what if _NUMBER.fullmatch(word)}
    if asked.list:
        for module in modules_asked_for(asked.what):
            for mutant in _mutants(Path.cwd(), module, numbers):
                _tell(module, mutant)
        return 0
    try:
        return _run(asked.what, numbers)
    except NotReadyError as fault:
        raise SystemExit(str(fault)) from fault


def _run_in_copy(arguments: list[str]) -> int:
    """Run the command again in a copy of the tree, so that no fault gets into the checkout."""
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        copy = Path(folder) / "tree"
        shutil.copytree(Path(__file__).parents[2], copy, ignore=_NOT_COPIED)
        settings = {"PYTHONPATH": str(copy), "PYTHONHASHSEED": "0", "OPENBLAS_NUM_THREADS": "1"}
        command = [sys.executable, "-m", "tests.mutants", _IN_COPY, *arguments]
        return subprocess.run(command, cwd=copy, env=os.environ | settings, check=False).returncode


def _run(what: list[str], numbers: set[str]) -> int:
    load_libraries()
    equivalents = read_equivalents()
    scores = {}
    for module, tests in modules_asked_for(what).items():
        mutants = _mutants(Path.cwd(), module, numbers)
        if mutants:
            known = [entry for entry in equivalents if entry.module == module]
            with get_context("fork").Pool(1) as process:  # one that has loaded no other module
                scores[module] = process.apply(_run_module, (module, mutants, tests, known))
            _summarise(module, scores[module])
    if len(scores) > 1:
        print("\nIn all")
        for module, score in scores.items():
            _summarise(module, score)
        for group, modules in GROUPS.items():
            if within := [scores[name] for name in modules if name in scores]:
                _summarise(group, _sum(within))
    return int(any(score.percent < AIM_PERCENT for score in scores.values()))


def _run_module(
    module: str, mutants: list[Mutant], tests: tuple[str, ...], known: list[Equivalent]
) -> Score:
    tree = Path.cwd()
    load_bystanders(module)
    options: tuple[str, ...] = WITHOUT_CLUB
    if run_tests(tree, tests, LONG_S, options).fate is not Fate.SURVIVED:
        options = ()
        run_tests(tree, tests, LONG_S, options)
    base = run_tests(tree, tests, LONG_S, options)  # in the order that mutants meet them in
    if base.fate is not Fate.SURVIVED:
        raise NotReadyError(f"The tests of {module} fail without any fault; run them: {tests}")
    limit_s = math.ceil(2 * base.work_s) + SPARE_S
    print(f"\n{module}: {len(mutants)} mutants; the tests take {base.work_s:.1f} s", flush=True)
    score = Score()
    for place, mutant in enumerate(mutants, start=1):
        if place % 50 == 0:
            print(f"  … {place} of {len(mutants)}", file=sys.stderr, flush=True)
        if any(entry.covers(mutant.where, mutant.was, mutant.becomes) for entry in known):
            score.equivalent += 1
            continue
        with fault_in(tree / "clubplanner" / module, mutant.source):
            fate = run_tests(tree, tests, limit_s, options).fate
        if fate is Fate.SURVIVED:
            score.survivors.append(mutant)
            _tell(module, mutant)
        else:
            score.killed += 1
    return score


def _mutants(tree: Path, module: str, numbers: set[str]) -> list[Mutant]:
    source = (tree / "clubplanner" / module).read_text("utf-8")
    every = mutants_of(module, source)
    return [mutant for mutant in every if not numbers or mutant.number in numbers]


def _tell(module: str, mutant: Mutant) -> None:
    where = f" in {mutant.where}" if mutant.where else ""
    print(f"  {mutant.number}  {module}:{mutant.line}{where}\n{mutant.diff}", flush=True)


def _summarise(name: str, score: Score) -> None:
    survivors = len(score.survivors)
    print(
        f"{name:28} {score.killed + survivors:5} mutants, {score.killed:5} killed, "
        f"{survivors:4} survive, {score.percent:5.1f} %; {score.equivalent} more are no fault",
        flush=True,
    )


def _sum(scores: list[Score]) -> Score:
    return Score(
        killed=sum(score.killed for score in scores),
        equivalent=sum(score.equivalent for score in scores),
        survivors=[mutant for score in scores for mutant in score.survivors],
    )


if __name__ == "__main__":
    raise SystemExit(main())
