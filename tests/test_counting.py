"""What counts lines: the processes that run tests, and none that these begin."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

ONE = "import tests; from tests.counting import _counting; print(len(_counting), flush=True)"
WITH_A_CHILD = f"""{ONE}
import subprocess, sys
subprocess.run([sys.executable, "-c", {ONE!r}], check=True)
"""


def test_processes_that_tests_begin_count_nothing(tmp_path: Path) -> None:
    """Marks in them would take several times as long as loading the program, for nobody."""
    told = {"CLUBPLANNER_COUNT_FOLDER": str(tmp_path), "PYTEST_XDIST_WORKER": "gw0"}
    said = subprocess.run(
        [sys.executable, "-c", WITH_A_CHILD],
        env={**os.environ, **told},
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert said.split() == ["1", "0"]
