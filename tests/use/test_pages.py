"""Every page and file of everybody, found by following links, opened by a reader of its kind."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import pytest

from clubplanner.webapp.security import ANYBODY, roles_of
from tests.use.walk import walk

if TYPE_CHECKING:
    from flask import Flask

    from tests.use.conftest import Lived

EVERYBODY = ("secretary", "coach", "groundskeeper", "stranger")
START = {
    "secretary": ("/", "/coach", "/coach/give", "/coach/squads/u13-kestrels"),
    "coach": ("/coach",),
    "groundskeeper": ("/desk/evening",),
    "stranger": ("/", "/sign-in/waiting"),
}


def routes_for(app: Flask, who: str) -> set[str]:
    """Return the rules that answer to somebody's GET; a stranger's are those open to all."""
    found = set()
    for rule in app.url_map.iter_rules():
        if "GET" not in (rule.methods or ()) or rule.endpoint == "static":
            continue
        roles = roles_of(app, rule.endpoint)
        is_theirs = roles == ANYBODY if who == "stranger" else who in {r.value for r in roles}
        if is_theirs:
            found.add(rule.rule)
    return found


def starts(lived: Lived, who: str) -> list[str]:
    """Return where somebody begins: a stranger with all addresses that were handed out."""
    if who != "stranger":
        return [*START[who]]
    given = [*START[who], *lived.printed.values()]
    for done in lived.season.done:
        if done.words.startswith(("feed", "addresses add")):
            given += [word for word in done.out.replace('"', " ").split() if "://" in word]
    for mail in lived.post.taken:
        given.append(str(mail["List-Unsubscribe"]).strip("<>"))
    return [address.rstrip(",") for address in given]


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
