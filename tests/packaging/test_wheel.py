"""The built wheel carries every file that the program needs, and runs without the checkout."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_the_wheel_carries_every_file(wheel: Path) -> None:
    """No template, static file, seed file or module is left behind."""
    listed = subprocess.run(
        ["git", "ls-files", "clubplanner", "web", "seed_data"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split()
    expected = {
        name if name.startswith("clubplanner/") else f"clubplanner/{name}" for name in listed
    }
    with zipfile.ZipFile(wheel) as archive:
        assert expected <= set(archive.namelist())


def test_the_wheel_finds_its_files_without_the_checkout(wheel: Path, tmp_path: Path) -> None:
    """Unpacked elsewhere, the program finds templates, fonts, tables and the invented club."""
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path)
    program = (
        "from clubplanner import resources as r; import clubplanner;"
        "assert r.resource_folder('web').is_relative_to(clubplanner.__path__[0]);"
        "assert len(r.font_files()) == 9 and len(r.invented_club_files()) >= 4;"
        "assert r.published_table('formats.csv')"
    )
    done = subprocess.run(
        [sys.executable, "-c", program],
        cwd=tmp_path,
        env={"PYTHONPATH": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
