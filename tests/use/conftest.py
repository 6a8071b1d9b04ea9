"""The installed program, and a club that has lived a season with it."""

from __future__ import annotations

import re
import shutil
import zipfile
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.store.engine import open_store
from clubplanner.webapp import create_app
from tests.mail_server import mail_server
from tests.use.program import Program, end_loaded
from tests.use.season import Season
from tests.use.visitor import Visitor

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from flask import Flask

    from tests.mail_server import Postbox
    from tests.use.visitor import Answer

PASSWORD = "four words make it long"
PEOPLE = {"coach": "Maren Holloway", "groundskeeper": "Alex Marsh"}


@pytest.fixture(scope="session")
def unpacked(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Give the folder of the unpacked wheel."""
    folder = tmp_path_factory.mktemp("installed")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder)
    yield folder
    end_loaded(folder)


@pytest.fixture(scope="session")
def rules(empty_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Flask:
    """Give an app of no club, for its routes and whom each is for."""
    path = tmp_path_factory.mktemp("rules") / "empty.sqlite"
    shutil.copy(empty_file, path)
    store = open_store(f"sqlite:///{path}")
    app = create_app(store, Config())
    store.close()
    return app


@dataclass(frozen=True, slots=True)
class Lived:
    """A club that is served after a season of commands.

    Attributes:
        program: The program.
        season: What was done by commands.
        visitors: Who is signed in, by role; "stranger" is not.
        printed: Addresses that were handed out on the way, by what they open.
        post: The club's mail server.
    """

    program: Program
    season: Season
    visitors: dict[str, Visitor]
    printed: dict[str, str]
    post: Postbox


@pytest.fixture(scope="session")
def lived(unpacked: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lived]:
    """Live a season by commands, half of it while the pages are served."""
    folder = tmp_path_factory.mktemp("club") / "an empty folder"
    folder.mkdir()
    with mail_server() as post:
        server = post.settings
        settings = {
            "CLUBPLANNER_SMTP_HOST": server.host,
            "CLUBPLANNER_SMTP_PORT": str(server.port),
            "CLUBPLANNER_SMTP_SECURITY": "none",
            "CLUBPLANNER_MAIL_FROM": server.sender,
            "CLUBPLANNER_QUIET_HOURS": "00:00-00:00",
        }
        program = Program(unpacked, folder, settings=settings)
        season = Season(program, datetime.now(UTC).date())
        season.begin()
        season.come_back()
        with program.serving():
            visitors, printed = sign_everybody_in(program)
            season.hand_out()
            season.look()
            season.change()
            season.share_out_again()
            season.work_with_files()
            season.go_out_and_come_in()
            season.ask_what_fits()
            fill_by_pages(visitors, printed)
            season.run("mails", "deliver", "--at-once", "--json")
            yield Lived(program, season, visitors, printed, post)


def fill_by_pages(visitors: dict[str, Visitor], printed: dict[str, str]) -> None:
    """Do by forms what has no command, and renew the addresses that signing in used up."""
    desk = visitors["secretary"]
    desk.send("/desk/board", "/desk/board", turn="on")
    desk.send("/desk/season/mails", "/tell")
    desk.send("/desk/share-outs", "/desk/share-outs", seconds="2")
    visitors["stranger"].send("/sign-in", "/sign-in/ask", who=PEOPLE["coach"])
    listed = desk.get("/desk/people").text
    found = re.search(rf'href="([^"]+)">Change<span class="unseen"> {PEOPLE["coach"]}<', listed)
    assert found is not None, listed
    printed["coach"] = let_in_address(desk.send(found[1], "/link"))


def let_in_address(page: Answer) -> str:
    """Return the address that a page hands over."""
    found = re.search(r'class="address">([^<]+)<', page.text)
    assert found is not None, page.text
    return found[1]


def sign_everybody_in(program: Program) -> tuple[dict[str, Visitor], dict[str, str]]:
    """Sign in one of each role as people do, and return the addresses used on the way."""
    printed = {"secretary": program.run_loaded("people", "let-in", "--json").json()["address"]}
    visitors = {"stranger": Visitor(program.address), "secretary": Visitor(program.address)}
    desk = visitors["secretary"]
    welcome = desk.send(printed["secretary"], name="Kim Ashby", password=PASSWORD)
    assert welcome.status == 200, welcome.text
    for role, name in PEOPLE.items():
        squads = {"squads": "u13-kestrels"} if role == "coach" else {}
        shown = desk.send("/desk/people", "/desk/people", name=name, role=role, **squads)
        handed = desk.send(shown.address, "/link")
        printed[role] = let_in_address(handed)
        visitors[role] = Visitor(program.address)
        let_in = visitors[role].send(printed[role])
        assert let_in.status == 200, let_in.text
    return visitors, printed
