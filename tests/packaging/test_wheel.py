"""The built wheel carries every file that the program needs, and runs without the checkout."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
import zipfile
from email.parser import HeaderParser
from importlib.metadata import metadata
from pathlib import Path

from clubplanner.resources import resource_folder

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


def test_the_wheel_states_its_licence(wheel: Path) -> None:
    """Metadata name the licence by its SPDX name, and bring its text and those of the fonts."""
    with zipfile.ZipFile(wheel) as archive:
        name = next(n for n in archive.namelist() if n.endswith(".dist-info/METADATA"))
        stated = HeaderParser().parsestr(archive.read(name).decode())
        text = archive.read("clubplanner/LICENSE").decode()
    assert stated["License-Expression"] == "Apache-2.0"
    assert len(stated.get_all("License-File", [])) == 3
    assert "Version 2.0, January 2004" in text


def test_every_library_needed_is_listed_with_its_licence() -> None:
    """The list names each library that the planner needs, with a licence that it states."""
    table = (resource_folder("web") / "running" / "licences.md").read_text(encoding="utf-8")
    listed = dict(re.findall(r"^\| ([a-z0-9-]+) \| ([^|]+) \|$", table, re.MULTILINE))
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    needed = [*project["dependencies"], *project["optional-dependencies"]["postgresql"]]
    names = {re.split(r"[\[<>=]", each)[0] for each in needed}
    assert set(listed) - {"library"} == names
    for name in names:
        stated = " ".join(metadata(name).get_all("License-Expression") or [])
        words = set(re.findall(r"[\w.-]+", listed[name]))
        assert not stated or words & set(re.findall(r"[\w.-]+", stated)) - {"AND", "OR"}, name
