"""A season with the installed program: every command, every page and every file of everybody.

They stand in one module, since the season that they all look at takes a minute to live.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import pytest

from clubplanner.webapp.base.programs import ROOT
from clubplanner.webapp.base.security import ANYBODY, roles_of
from tests.use.commands import SERVING, WRONG, leaf_commands
from tests.use.program import Program
from tests.use.season import SQUAD
from tests.use.walk import walk

if TYPE_CHECKING:
    from pathlib import Path

    from flask import Flask

    from tests.use.conftest import Lived

EVERYBODY = ("secretary", "coach", "groundskeeper", "stranger")
FITS = "/coach/squads/u13-kestrels/fits.json?players=12"
"""Fetched by a script, for times without signal."""
WITHDRAWN = ("Somebody who left", "Robin Vale")
"""Whose addresses were made and withdrawn again."""
NOT_WALKED = ("static", "watched.metrics")
"""Files, and figures that are not there without a key."""
LONGER = (
    "/desk/season/year/stretches/winter?stretch_name=Winter"
    "&stretch_first=2026-10-26&stretch_last=2027-04-02"
)
"""What other dates of a stretch would change; reached by its form."""
SQUAD_PAGES = ("/coach/squads/u13-kestrels", "/coach/weeks", "/coach/calendar")
ICONS = tuple(f"/app-icon-{name}.png" for name in ("192", "512", "512-maskable"))
START = {
    "secretary": ("/", "/coach", "/coach/give", "/desk/season/matches/1"),
    "coach": ("/coach", FITS),
    "groundskeeper": ("/desk/evening",),
    "stranger": (
        "/",
        "/sign-in/waiting",
        "/service-worker.js",
        "/no-signal",
        "/health",
        "/board/osier-lane",
        "/coach/app.webmanifest",
        *ICONS,
    ),
}
"""Where somebody begins; what a person cannot reach by links from a page of their own is named."""


def routes_for(app: Flask, who: str) -> set[str]:
    """Return the rules that answer to somebody's GET; a stranger's are those open to all."""
    found = set()
    for rule in app.url_map.iter_rules():
        is_walked = rule.endpoint not in NOT_WALKED and not rule.rule.startswith(ROOT)
        if "GET" not in (rule.methods or ()) or not is_walked:
            continue
        roles = roles_of(app, rule.endpoint)
        is_theirs = roles == ANYBODY if who == "stranger" else who in {r.value for r in roles}
        if is_theirs:
            found.add(rule.rule)
    return found


def passed_on(lived: Lived) -> list[str]:
    """Let the coach pass the next session on, and return the addresses that come with it."""
    number = lived.season.number_of("u13-kestrels")
    handed = lived.visitors["coach"].send(
        f"/coach/sessions/{number}/pass-on", "/pass-on", holder="Jo"
    )
    found = re.search(r'href="[^"]*(/session/[^"/]+)"', handed.text)
    assert found is not None, handed.text
    page = found[1]
    return [page, f"{page}/map/{number}.png", f"{page}/fits.json?players=12"]


def starts(lived: Lived, who: str) -> list[str]:
    """Return where somebody begins: a stranger with all addresses that were handed out."""
    if who == "secretary":
        number = lived.season.number_of("u13-kestrels")
        places = (f"/coach/sessions/{number}", f"/desk/share-outs/bookings/{number}")
        why = f"/desk/share-outs/1/why?ask={lived.season.refused}"
        made_way = (
            "/desk/season/matches/2/back"  # called off: nobody made way, so no page leads there
        )
        return [*START[who], *SQUAD_PAGES, FITS, *places, why, LONGER, made_way]
    if who != "stranger":
        return [*START[who]]
    given = [*START[who], *passed_on(lived), lived.printed["coach"]]
    for done in lived.season.done:
        is_one = done.words.startswith(("addresses add", "people let-in"))
        if is_one and not any(who in done.words for who in WITHDRAWN):
            given += [word for word in done.out.replace('"', " ").split() if "://" in word]
    own = f"addresses add squad {SQUAD} --holder The squad"
    (page,) = (done.json()["page"] for done in lived.season.done if done.words.startswith(own))
    given.append(f"{page}/fits.json?players=12")
    lists = [mail["List-Unsubscribe"] for mail in lived.post.taken]
    given += [str(address).strip("<>") for address in lists if address]
    return given


@pytest.mark.parametrize("who", EVERYBODY)
def test_every_route_answers_with_what_it_says_it_is(lived: Lived, rules: Flask, who: str) -> None:
    """Each address that is linked or handed out opens, and no route is left out."""
    visitor = lived.visitors[who]
    done = walk(visitor, starts(lived, who), rules.url_map.bind(urlsplit(visitor.address).netloc))
    assert not done.faults
    assert routes_for(rules, who) - set(done.routes) == set()


def test_the_log_holds_no_traceback(lived: Lived) -> None:
    """Nothing that was done so far went wrong without being told."""
    log = lived.program.log.read_text("utf-8")
    assert "Traceback" not in log
    assert "ERROR" not in log


def test_an_address_that_was_withdrawn_leads_nowhere(lived: Lived) -> None:
    """Page and calendar are gone at once."""
    made = ("addresses add", "people let-in")
    for who in WITHDRAWN:
        of_them = [d for d in lived.season.done if who in d.words and d.words.startswith(made)]
        words = " ".join(done.out.replace('"', " ") for done in of_them).split()
        addresses = [word for word in words if "://" in word and urlsplit(word).path]
        assert addresses
        for address in addresses:
            assert lived.visitors["stranger"].get(address).status == 404


def test_every_command_works(lived: Lived) -> None:
    """Each was run by a club in its season, and did what it was for."""
    elsewhere = re.compile(r"--database \S+ ")
    used = {elsewhere.sub("", done.words) for done in lived.season.done}
    missed = [
        words
        for words in leaf_commands()
        if words not in SERVING and not any(f"{line} ".startswith(f"{words} ") for line in used)
    ]
    assert not missed
    assert {done.code for done in lived.season.done} <= {0, 2}


def test_a_mistyped_command_says_what_to_do(lived: Lived) -> None:
    """Exit code 2 and plain words, no traceback, of every command that can be mistyped."""
    for words in leaf_commands():
        if words in WRONG:
            done = lived.program.run_loaded(*words.split(), *WRONG[words].split(), code=2)
            assert len(done.err.split()) > 3, done


def test_without_a_club_commands_say_how_to_begin(unpacked: Path, tmp_path: Path) -> None:
    """What needs a club says so in an empty folder."""
    program = Program(unpacked, tmp_path)
    for words in ("concerns list", "asks list", "share-out run winter", "serve"):
        assert "init" in program.run_loaded(*words.split(), code=2).err, words
