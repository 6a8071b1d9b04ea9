"""Which lines and branches of the package the tests run, counted by `pytest -n auto --count`.

`slipcover` counts by marks in the compiled code, which hardly cost anything as the tests run; with
a tracer they take twice as long. Marks are put in as a module is imported, some fifteen seconds for
all of the package. So counting begins with the first import of the tests (`tests/__init__.py`) in
each process that runs tests; the process that hands them out adds up what the others wrote.
"""

from __future__ import annotations

import json
import os
import shutil
import sys
import tempfile
from pathlib import Path

import pytest
import slipcover

FLOOR = 90.0
"""Of the lines and branches of the package, in percent, that the tests must run."""
OPTION = "--count"
_FOLDER = "CLUBPLANNER_COUNT_FOLDER"
_PACKAGE = str(Path(__file__).resolve().parents[1] / "clubplanner")
_LEFT_OUT = ["if __name__ == .__main__.:"]
_counting: list[tuple[slipcover.Slipcover, Path]] = []
"""What counts in this process, and the folder that the figures go to."""


def begin() -> None:
    """Put marks into what this process imports of the package from now on, if it is to count.

    Processes that tests begin do not: nobody would add up what they count, and the marks take
    several times as long as loading the program.
    """
    if _FOLDER not in os.environ or "PYTEST_XDIST_WORKER" not in os.environ or _counting:
        return
    folder = Path(os.environ.pop(_FOLDER))
    counting = slipcover.Slipcover(
        branch=True,
        source=[_PACKAGE],
        exclude_also=_LEFT_OUT,
        d_miss_threshold=sys.maxsize,  # looking for marks to take out costs more than they do
    )
    slipcover.ImportManager(counting, slipcover.FileMatcher(sources=[_PACKAGE])).__enter__()
    _counting.append((counting, folder))


def prepare(config: pytest.Config) -> None:
    """Tell the processes that will run tests that they are to count, before they begin.

    Raises:
        pytest.UsageError: The tests are to run in this process, which imported the package already.
    """
    if not config.getoption(OPTION) or hasattr(config, "workerinput"):
        return
    if not config.getoption("numprocesses"):
        message = f"{OPTION} counts in processes of their own: add “-n auto”."
        raise pytest.UsageError(message)
    os.environ[_FOLDER] = tempfile.mkdtemp(prefix="count-")


def end(session: pytest.Session) -> None:
    """Write what this process counted; in the first one, add it all up and hold it to the floor."""
    for counting, folder in _counting:
        counted = json.dumps(counting.get_coverage())
        (folder / f"{os.getpid()}.json").write_text(counted, encoding="utf-8")
    if _FOLDER in os.environ and not hasattr(session.config, "workerinput"):
        folder = Path(os.environ.pop(_FOLDER))
        session.exitstatus = _hold(folder, session.exitstatus)


def _hold(folder: Path, status: int) -> int:
    parts = [json.loads(path.read_text(encoding="utf-8")) for path in sorted(folder.iterdir())]
    shutil.rmtree(folder)
    if not parts:
        return status or 1
    for part in parts[1:]:
        slipcover.merge_coverage(parts[0], part)
    slipcover.print_coverage(parts[0], skip_covered=True, missing_width=60)
    percent = parts[0]["summary"]["percent_covered"]
    print(f"\n{percent:.2f} % of lines and branches were run; the floor is {FLOOR:.0f} %.")
    return status or int(percent < FLOOR)
