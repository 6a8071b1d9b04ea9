"""A program of somebody's that asks the API."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from itertools import count
from typing import TYPE_CHECKING, Any, cast

from clubplanner.domain.club.people import Role
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.tokens import TokenWish, hand_out_token
from tests.builders import NOW

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.test import TestResponse

    from clubplanner.store.engine import Store

    class Told(TestResponse):
        """An answer whose body is there."""

        @property
        def json(self) -> Any:
            """Its body."""


ROOT = "/api/1"


@dataclass(slots=True)
class Program:
    """Asks with a token; keys of what it posts are its own, one after the other.

    Attributes:
        app: The club's app.
        token: Blank to ask without one.
    """

    app: Flask
    token: str
    _keys: count[int] = field(default_factory=count)

    def ask(self, method: str, path: str, body: Any = None, **headers: str) -> Told:
        """Send a request; a header's underscores are hyphens."""
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        if self.token:
            sent["Authorization"] = f"Bearer {self.token}"
        if method == "POST":
            sent.setdefault("Idempotency-Key", f"key-{next(self._keys)}")
        data = None if body is None else json.dumps(body)
        kind = None if body is None else "application/json"
        client = self.app.test_client(use_cookies=False)
        answer = client.open(
            f"{ROOT}{path}", method=method, data=data, headers=sent, content_type=kind
        )
        return cast("Told", answer)

    def get(self, path: str, **headers: str) -> Told:
        """Read."""
        return self.ask("GET", path, **headers)

    def post(self, path: str, body: Any = None, **headers: str) -> Told:
        """Post."""
        return self.ask("POST", path, body, **headers)

    def change(self, method: str, path: str, body: Any = None, of: str = "") -> Told:
        """Read something (`of`, else the same address), and change it as it was read."""
        seen = self.get(of or path.partition("?")[0])
        return self.ask(method, path, body, If_Match=seen.headers.get("ETag", '"none"'))


def program_of(
    app: Flask,
    store: Store,
    role: Role = Role.SECRETARY,
    *squads: str,
    may_change: bool = True,
    name: str = "",
    club: int | None = None,
) -> Program:
    """Return a program of a new person: by default of a secretary, and one that may change."""
    draft = PersonDraft(name or f"A {role.value}", role, "", squads, club=club)
    person = add_person(store, draft, NOW)
    wish = TokenWish("a test", may_change, 30)
    return Program(app, hand_out_token(store, person, wish, NOW)[1])


def is_problem(answer: TestResponse, status: int, kind: str) -> bool:
    """Tell whether an answer is a problem of a kind, and says so as it should."""
    body = json.loads(answer.data)
    return (
        answer.status_code == status == body["status"]
        and answer.headers["Content-Type"] == "application/problem+json"
        and body["type"].endswith(f"/api/1/problems/{kind}")
        and bool(body["title"])
        and bool(body["detail"])
    )
