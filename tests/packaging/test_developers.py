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
QUOTED = set(re.findall(r"`([^`\n]+)`", PAPERS))


def test_every_package_is_named() -> None:
    """A stranger finds each room in the map."""
    rooms = {
        str(init.parent.relative_to(PACKAGE))
        for init in PACKAGE.rglob("__init__.py")
        if init.parent != PACKAGE
    }
    assert rooms - QUOTED == set()


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
