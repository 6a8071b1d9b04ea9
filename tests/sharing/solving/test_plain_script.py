"""A script without a guard may share out in a process of its own."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

SCRIPT = """
from clubplanner.sharing.example.example import example
from clubplanner.sharing.solving.process import solve_in_child
from clubplanner.sharing.values.problem import Effort

print("begun")
print(solve_in_child(example(4, 1, 1, 1.0), Effort(seconds=1)).placed > 0)
"""


def test_a_plain_script_shares_out_once(tmp_path: Path) -> None:
    """The child does not run the script again, so that nothing is begun within it."""
    script = tmp_path / "plain.py"
    script.write_text(SCRIPT, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, str(script)], capture_output=True, text=True, check=False, timeout=120
    )
    assert done.stdout.split() == ["begun", "True"], done.stderr
    assert done.returncode == 0
