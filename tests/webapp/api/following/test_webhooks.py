"""Webhooks by the API."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.services.webhooks.sending import Answer, Fate
from clubplanner.webapp.api.following import webhooks
from tests.webapp.api.programs import is_problem, program_of

if TYPE_CHECKING:
    import pytest
    from flask import Flask

    from clubplanner.store.engine import Store
    from tests.webapp.api.programs import Program

SITE = {"name": "Our website", "url": "https://site.example/hook"}


def test_one_is_made_tried_ended_and_let_go_on(
    desk: Program, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The secret is shown once, the address never."""
    made = desk.post("/webhooks", SITE)
    assert (made.status_code, made.json["secret"][:6]) == (200, "whsec_"), made.json
    assert made.headers["Cache-Control"] == "no-store"
    path = f"/webhooks/{made.json['number']}"
    (listed,) = desk.get("/webhooks").json["webhooks"]
    assert (listed["host"], listed["is_going_on"]) == ("site.example", True)
    assert "/hook" not in desk.get(path).text
    answers = [Answer(Fate.TAKEN, "", 204), Answer(Fate.LATER, "It is too slow.")]
    monkeypatch.setattr(webhooks, "post_within", lambda _config: lambda _message: answers.pop(0))
    first, second = (desk.change("POST", f"{path}/try", of=path).json for _unused in range(2))
    assert (first["arrived"], first["status"]) == (True, 204)
    assert (second["arrived"], second["status"]) == (False, None)
    assert desk.get(path).json["former_until"] == ""
    other = desk.post(f"{path}/exchange-secret")
    assert (other.status_code, other.headers["Cache-Control"]) == (200, "no-store"), other.json
    assert other.json["secret"] != made.json["secret"]
    assert other.json["former_until"] == desk.get(path).json["former_until"] != ""
    assert not desk.change("POST", f"{path}/withdraw", of=path).json["is_going_on"]
    assert desk.change("POST", f"{path}/resume", of=path).json["is_going_on"]


def test_what_cannot_be_told_is_refused(desk: Program, app: Flask, small: Store) -> None:
    """An address that no message may go to, at its place; and a token for reading makes none."""
    plain = desk.post("/webhooks", {**SITE, "url": "http://site.example/"})
    assert [one["at"] for one in plain.json["errors"]] == ["/url"]
    reader = program_of(app, small, may_change=False, name="A reader")
    assert is_problem(reader.post("/webhooks", SITE), 403, "not-yours")
    assert is_problem(reader.post("/webhooks/1/exchange-secret"), 403, "not-yours")
    assert desk.get("/webhooks").json["webhooks"] == []
