"""Running the tests against one mutant after the other, each in a process of its own.

The processes are forked from one that has the libraries loaded, which saves most of the time.
"""

from __future__ import annotations

import importlib
import os
import resource
import signal
import time
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, NoReturn

import pytest

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

LIBRARIES = (
    "hypothesis.strategies",
    "numpy",
    "shapely.affinity",
    "sqlalchemy.orm",
    "sqlalchemy.dialects.sqlite",
    "alembic.command",
    "icalendar",
    "vobject",
    "recurring_ical_events",
    "babel.dates",
    "holidays",
    "astral.sun",
    "ortools.sat.python.cp_model",
    "flask",
    "click",
)
OPTIONS = (
    "-x",
    "-q",
    "--assert=plain",
    "-pno:cacheprovider",
    "--hypothesis-profile=mutants",
)
SPARE_S = 20
"""Seconds of work allowed beyond twice what the tests take without a fault."""
WAITS_PER_WORK = 8
"""How many times longer than its work a run may take in all, on a busy machine."""
MOST_BYTES = 8 << 30


class Fate(StrEnum):
    """What became of a mutant."""

    KILLED = "killed"
    OUT_OF_TIME = "out of time"
    SURVIVED = "survived"


@dataclass(frozen=True, slots=True)
class Run:
    """How one run of the tests ended.

    Attributes:
        fate: What became of the fault.
        work_s: Seconds of processor time.
    """

    fate: Fate
    work_s: float


def load_libraries() -> None:
    """Load what the tests need but we did not write, so that forked processes have it."""
    for name in LIBRARIES:
        importlib.import_module(name)


def run_tests(tree: Path, tests: Sequence[str], limit_s: int) -> Run:
    """Run test files in a process of its own, up to the first that fails.

    Args:
        tree: The copy of the project that is the current directory.
        tests: Test files below `tests/`.
        limit_s: Seconds of processor time after which the run is ended.
    """
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    child = os.fork()
    if child == 0:
        _be_tested(tree, tests, limit_s)
    code = _wait_for(child, limit_s * WAITS_PER_WORK)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    work_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    if code < 0:
        return Run(Fate.OUT_OF_TIME, work_s)
    return Run(Fate.KILLED if code else Fate.SURVIVED, work_s)


def run_mutant(tree: Path, file: Path, source: str, tests: Sequence[str], limit_s: int) -> Run:
    """Put a fault into a file of the copy, run the tests, and put the file right again."""
    right = file.read_text("utf-8")
    try:
        _write(file, source)
        return run_tests(tree, tests, limit_s)
    finally:
        _write(file, right)


def _write(file: Path, source: str) -> None:
    """Write a module; what was compiled of it goes, since two mutants can be as long and as old."""
    for compiled in file.parent.glob(f"__pycache__/{file.stem}.*.pyc"):
        compiled.unlink()
    file.write_text(source, "utf-8")


def _be_tested(tree: Path, tests: Sequence[str], limit_s: int) -> NoReturn:
    os.setsid()
    silence = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(silence, stream)
    resource.setrlimit(resource.RLIMIT_CPU, (limit_s, limit_s + 5))
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    code = 3
    try:
        files = [str(tree / "tests" / name) for name in tests]
        code = int(pytest.main([*OPTIONS, f"--basetemp={tree.parent / 'temporary'}", *files]))
    finally:
        os._exit(code)


def _wait_for(child: int, longest_s: float) -> int:
    """Return the exit code of a process, below 0 when it had to be ended."""
    ends_at = time.monotonic() + longest_s
    while time.monotonic() < ends_at:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.01)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return -signal.SIGKILL
