"""What the same code says in a process of its own, where sets and hashes fall out differently."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]


def said_by(code: str, hash_seed: int) -> str:
    """Run a few lines of Python from scratch and return what they print.

    Args:
        code: The lines.
        hash_seed: Decides in which order sets of texts are gone through.
    """
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env={**os.environ, "PYTHONHASHSEED": str(hash_seed)},
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout
