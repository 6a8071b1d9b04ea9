"""Running the tests against one mutant after the other, each in a process of its own.

The processes are forked from one that has loaded all that a fault cannot change, tests that were
quick when they passed run first, and the shared fixtures are left out where no test asks for them:
together that saves most of the time.
"""

from __future__ import annotations

import gc
import importlib
import json
import os
import resource
import signal
import sys
import time
import warnings
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, NoReturn

import grimp
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.errors import HypothesisSideeffectWarning

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
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
    "xdist.plugin",
    "_hypothesis_pytestplugin",
    "_pytest.junitxml",
)
PACKAGES = tuple(
    f"clubplanner.{name}."
    for name in (
        "geometry",
        "domain",
        "inputs",
        "fitting",
        "sharing",
        "outputs",
        "store",
        "services",
    )
)
"""What can be loaded ahead; the app finds its views by name, so nobody sees what it imports."""
OURS = ("tests.builders", "tests.strategies", "tests.profiles", "tests.conftest")
"""What tests import of each other."""
OPTIONS = (
    "-x",
    "-q",
    "--assert=plain",
    "-pno:cacheprovider",
    "-ptests.profiles",
    "--hypothesis-profile=mutants",
)
WITHOUT_CLUB = ("--noconftest",)
"""For tests that need none of the shared fixtures: those load the whole package."""
LONG_S = 3600
"""Seconds of work allowed where there is no fault."""
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


class NotReadyError(Exception):
    """Nothing can be learnt from faults as things stand."""


class QuickestFirst:
    """A pytest plugin that runs tests in the order of the time they took when they last passed.

    Attributes:
        seconds: A test's node id → what its call took; one that is not known counts as quick.
    """

    def __init__(self, seconds: Mapping[str, float]) -> None:
        self.seconds = dict(seconds)

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Sort the tests; equal ones stay as they stand in their files."""
        items.sort(key=lambda item: self.seconds.get(item.nodeid, 0.0))

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note how long a test took, without what was made ready for it and others."""
        if report.when == "call":
            self.seconds[report.nodeid] = report.duration


def load_libraries() -> None:
    """Load what the tests need but we did not write, so that forked processes have it."""
    for name in LIBRARIES:
        importlib.import_module(name)


def load_bystanders(module: str) -> None:
    """Load of the package, and of what tests share, all that does not import a module.

    Args:
        module: Below `clubplanner/`: the one that is going to have faults.

    Raises:
        NotReadyError: If the module was loaded all the same.
    """
    faulty = "clubplanner." + module.removesuffix(".py").replace("/", ".")
    graph = grimp.build_graph(
        "clubplanner", "tests", exclude_type_checking_imports=True, cache_dir=None
    )
    touched = touched_by(faulty, graph)
    ours = {name for name in graph.modules if name.startswith(PACKAGES)} | set(OURS)
    for name in sorted(ours - touched):
        if "migrations" not in name:
            importlib.import_module(name)
    if loaded := touched & set(sys.modules):
        raise NotReadyError(f"Already loaded, faultless: {', '.join(sorted(loaded))}")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", HypothesisSideeffectWarning)  # early, and meant so
        _draw_something()
    gc.freeze()  # or each process looks through all this again for what could be thrown away


def touched_by(faulty: str, graph: grimp.ImportGraph) -> set[str]:
    """Return what loads a module: who imports it or these, and what lies in a package that does."""
    touched: set[str] = set()
    fresh = {faulty}
    while fresh:
        touched |= fresh
        loaders = [graph.find_modules_that_directly_import(name) for name in fresh]
        within = [graph.find_descendants(name) for name in fresh]
        fresh = set().union(*loaders, *within) - touched
    return touched


@given(st.integers())
def _draw_something(_number: int) -> None:
    """Let hypothesis look now for constants in what is loaded, not in each process again."""


def run_tests(tree: Path, tests: Sequence[str], limit_s: int, options: Sequence[str] = ()) -> Run:
    """Run test files in a process of its own, up to the first that fails.

    Args:
        tree: The copy of the project that is the current directory.
        tests: Test files below `tests/`.
        limit_s: Seconds of processor time after which the run is ended.
        options: Of pytest, beside those of every run.
    """
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    child = os.fork()
    if child == 0:
        _be_tested(tree, [*options, *(str(tree / "tests" / name) for name in tests)], limit_s)
    code = _wait_for(child, limit_s * WAITS_PER_WORK)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    work_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    if code < 0:
        return Run(Fate.OUT_OF_TIME, work_s)
    return Run(Fate.KILLED if code else Fate.SURVIVED, work_s)


@contextmanager
def fault_in(file: Path, source: str) -> Iterator[None]:
    """Put a fault into a file of the copy for a while."""
    right = file.read_text("utf-8")
    try:
        _write(file, source)
        yield
    finally:
        _write(file, right)


def _write(file: Path, source: str) -> None:
    """Write a module; what was compiled of it goes, since two mutants can be as long and as old."""
    for compiled in file.parent.glob(f"__pycache__/{file.stem}.*.pyc"):
        compiled.unlink()
    file.write_text(source, "utf-8")


def _be_tested(tree: Path, arguments: Sequence[str], limit_s: int) -> NoReturn:
    os.setsid()
    silence = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(silence, stream)
    resource.setrlimit(resource.RLIMIT_CPU, (limit_s, limit_s + 5))
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    code = 3
    try:
        noted = tree.parent / "seconds.json"
        order = QuickestFirst(json.loads(noted.read_text("utf-8")) if noted.exists() else {})
        options = [*OPTIONS, f"--basetemp={tree.parent / 'temporary'}", *arguments]
        code = int(pytest.main(options, plugins=[order]))
        if code == 0:
            noted.write_text(json.dumps(order.seconds), "utf-8")
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
