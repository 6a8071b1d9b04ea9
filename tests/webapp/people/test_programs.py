"""One's own programs: tokens made, shown once, withdrawn; and those of others."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.journal.changes import list_changes
from clubplanner.services.people.ways_in.tokens import (
    MOST_TOKENS,
    TokenWish,
    find_holder,
    hand_out_token,
    list_tokens,
)
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.webapp.conftest import ADDRESS, send, sign_in

if TYPE_CHECKING:
    from flask import Flask

    from clubplanner.store.engine import Store

FORM = {"purpose": "results", "scope": "read", "days": "90"}


def the_app(store: Store) -> Flask:
    """Make the app, its clock stopped."""
    return create_app(store, Config("", ADDRESS), lambda: NOW)


def test_a_token_is_shown_once_and_opens(small: Store) -> None:
    """The page after shows its purpose alone; the journal holds it no more than the page."""
    app = the_app(small)
    coach = sign_in(app, small, Role.COACH, name="Robin")
    made = send(coach, "/me/programs", "/me/programs", **FORM)
    token = re.search(r'<p class="address">(cp1_[\w-]+)</p>', made)
    assert token is not None
    after = coach.get("/me/programs").text
    assert "results" in after
    assert token[1] not in after
    (change,) = [one for one in list_changes(small, NOW) if "token" in one.words]
    assert change.words == "made a token of Robin for results"
    headers = {"Authorization": f"Bearer {token[1]}"}
    assert app.test_client().get("/api/1/me", headers=headers).status_code == 200
    number = list_tokens(small, NOW)[0].number
    page = send(coach, f"/me/programs/{number}/withdraw", "/me/programs")
    assert "Withdrawn: the token for results." in page
    assert app.test_client().get("/api/1/me", headers=headers).status_code == 401


def test_what_is_missing_is_told_and_nothing_typed_is_lost(small: Store) -> None:
    """A blank purpose, a scope or a time that is none of those offered."""
    keeper = sign_in(the_app(small), small, Role.GROUNDSKEEPER)
    blank = send(keeper, "/me/programs", "/me/programs", **{**FORM, "purpose": " "})
    assert "Say what the token is for" in blank
    odd = send(keeper, "/me/programs", "/me/programs", **{**FORM, "scope": "all", "days": "9999"})
    assert "Choose what the program may do." in odd
    assert 'value="results"' in odd
    long = send(keeper, "/me/programs", "/me/programs", **{**FORM, "days": "9999"})
    assert "Enter a number of days, at most 366." in long
    assert list_tokens(small, NOW) == ()


def test_nobody_has_more_than_some(small: Store) -> None:
    """One that no program needs is to be withdrawn first."""
    keeper = sign_in(the_app(small), small, Role.GROUNDSKEEPER, name="Kim")
    assert keeper.get("/me").status_code == 200
    person = find_holder(small, "Kim")
    for number in range(MOST_TOKENS):
        hand_out_token(small, person, TokenWish(f"{number}", may_change=False, days=9), NOW)
    assert "withdraw one that no program needs" in send(
        keeper, "/me/programs", "/me/programs", **FORM
    )


def test_others_tokens_are_the_secretarys_to_withdraw(small: Store) -> None:
    """Nobody else's can be withdrawn by number; the secretary does it on the person's page."""
    app = the_app(small)
    desk = sign_in(app, small, name="The secretary")
    one, other = (sign_in(app, small, Role.GROUNDSKEEPER, name=name) for name in ("One", "Two"))
    send(one, "/me/programs", "/me/programs", **FORM)
    number = list_tokens(small, NOW)[0].number
    csrf = re.search(r'name="csrf_token" value="([^"]+)"', other.get("/me/programs").text)
    assert csrf is not None
    path = f"/me/programs/{number}/withdraw"
    assert other.post(path, data={"csrf_token": csrf[1]}).status_code == 404
    person = find_holder(small, "One")
    assert "Tokens of their programs" in desk.get(f"/desk/people/{person}").text
    send(desk, f"/desk/people/{person}/tokens/{number}/withdraw", f"/desk/people/{person}")
    assert list_tokens(small, NOW) == ()
