"""The newcomer's papers: every package and every command is named, and every path is there."""

from __future__ import annotations

import re
from pathlib import Path

import click
import pytest

import clubplanner
from clubplanner.commands import main

ROOT = Path(__file__).resolve().parents[2]
PAPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PACKAGE = Path(clubplanner.__file__).parent
MAP = PAPERS.split("## The map")[1].split("\n\n")[2]
QUOTED = set(re.findall(r"`([^`\n]+)`", PAPERS))


def test_every_package_is_named() -> None:
    """A stranger finds each room in the map."""
    rooms = {
        str(init.parent.relative_to(PACKAGE))
        for init in PACKAGE.rglob("__init__.py")
        if init.parent != PACKAGE
    }
    assert rooms - QUOTED == set()


def test_no_room_has_two_rows() -> None:
    """Each row of the map speaks of a room of its own: two versions of one are seen here."""
    rows = [row.split("`")[:2] for row in MAP.splitlines() if "`" in row]
    named = [row[1] for row in rows]
    assert len(named) > 20
    assert sorted(named) == sorted(set(named))


def test_nothing_is_told_twice() -> None:
    """A line of prose stands once: a merge that keeps both sides is seen here."""
    lines = [line for line in PAPERS.splitlines() if len(line) > 60]
    assert sorted(lines) == sorted(set(lines))


def test_every_command_is_named() -> None:
    """Each first word of the command line stands there."""
    assert set(main.list_commands(click.Context(main))) - QUOTED == set()


@pytest.mark.parametrize(
    "path", sorted(word for word in QUOTED if re.fullmatch(r"[\w./-]+/[\w./*-]*", word))
)
def test_every_path_is_there(path: str) -> None:
    """What the papers point to exists, in the checkout or in the package."""
    tried = [base / path for base in (ROOT, PACKAGE)]
    assert any(place.exists() for place in tried) or any(ROOT.glob(path))
