"""A database that an earlier version left: brought up to date by a command, then used as any."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from tests.store.earlier import STRANGE, put_earlier
from tests.use.conftest import PASSWORD
from tests.use.program import Program
from tests.use.visitor import Visitor
from tests.use.walk import walk

if TYPE_CHECKING:
    from pathlib import Path

    from flask import Flask

SQUAD = "u12-kestrels"
DATABASE = "clubplanner.sqlite"
MOST_A_ROUTE = 2
"""Pages are opened over every earlier version in `tests/store/test_upgrades.py`, too."""


def use_it(program: Program, rules: Flask) -> int:
    """Bring a folder's database up to date, serve it, and open all that the secretary can.

    Returns:
        How many addresses answered.
    """
    program.run("init")
    wish = ("addresses", "add", "squad", SQUAD, "--holder", "The squad", "--json")
    given = program.run_loaded(*wish).json()
    key = program.run_loaded("people", "let-in", "--json").json()["address"]
    with program.serving():
        host = urlsplit(program.address).netloc
        desk = Visitor(program.address)
        page = urlsplit(key).path
        names = {name for form in desk.get(page).page().forms for name in form.names}
        fields = {"name": "Kim Ashby"} if "name" in names else {}
        assert desk.send(page, password=PASSWORD, **fields).status == 200
        addresses = rules.url_map.bind(host)
        begin = ["/", "/desk/evening?date=2026-11-25"]
        seen = walk(desk, begin, addresses, is_past=True, most=MOST_A_ROUTE)
        paths = [urlsplit(given[what]).path for what in ("page", "feed")]
        squad = walk(Visitor(program.address), paths, addresses, is_past=True)
    assert not seen.faults + squad.faults, "\n".join(seen.faults + squad.faults)
    assert "Traceback" not in program.log.read_text("utf-8")
    return sum(seen.routes.values())


def test_what_the_first_version_left_is_used_on(
    unpacked: Path, rules: Flask, tmp_path: Path
) -> None:
    """A club that lived some weeks with it opens every page after one command."""
    put_earlier(tmp_path / DATABASE, "0001")
    assert use_it(Program(unpacked, tmp_path), rules) > 40


def test_what_cannot_be_brought_up_to_date_is_refused_in_plain_words(
    unpacked: Path, tmp_path: Path
) -> None:
    """No command works with it, and none breaks."""
    put_earlier(tmp_path / DATABASE, STRANGE)
    program = Program(unpacked, tmp_path)
    for words in ("init", "serve", "asks list"):
        assert "database" in program.run_loaded(*words.split(), code=2).err
