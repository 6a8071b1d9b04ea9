"""The API as a program nobody here wrote sees it: calls drawn from its description.

Schemathesis reads the description, draws requests that it allows and some that it does not, and
holds each answer to it. The calls are the same at every run, and bounded.
"""

from __future__ import annotations

from itertools import count
from typing import TYPE_CHECKING, Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from clubplanner.config import Config
from clubplanner.webapp import create_app
from clubplanner.webapp.api.frame import calls
from clubplanner.webapp.api.frame.operations import OPERATIONS
from clubplanner.webapp.serving import limits
from tests.builders import NOW
from tests.small_club import KESTRELS, book
from tests.webapp.api.hiring.test_money import TARIFF
from tests.webapp.api.programs import program_of
from tests.webapp.api.sessions.test_asked import HIRE, MATCH
from tests.webapp.api.sessions.test_ground_closed import SHUT
from tests.webapp.conftest import ADDRESS

if TYPE_CHECKING:
    from schemathesis import APIOperation, Case

    from clubplanner.store.engine import Store
    from tests.webapp.api.programs import Program

    Described = APIOperation[Any, Any, Any, Any]

CALLS = 3
"""Of each operation and each way of drawing."""
HELD = [
    not_a_server_error,
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
]
REDUCTION = {"payer": "squad", "percent": 50}
KNOWN = {"number": 1, "key": KESTRELS}
"""Half of the calls that the description allows are about what is there."""


@pytest.fixture
def secretary(small: Store, monkeypatch: pytest.MonkeyPatch) -> Program:
    """Give the secretary's program, with one of each thing in the records, and no limit."""
    for module, name in ((limits, "MOST_CHANGES"), (limits, "MOST_MISSES"), (calls, "MOST_CALLS")):
        monkeypatch.setattr(module, name, 1_000_000)
    book(small)
    program = program_of(create_app(small, Config("", ADDRESS), lambda: NOW), small)
    for path, body in (
        ("/closures", {**SHUT, "condition": "no studs"}),
        ("/matches", MATCH),
        ("/tariffs", TARIFF),
        ("/reductions", REDUCTION),
    ):
        assert program.post(path, body).status_code == 201
    assert program.post("/hires", HIRE).status_code == 201
    return program


def draw_calls(what: Described, mode: GenerationMode, program: Program) -> None:
    """Ask one operation as its description allows, or as it does not; hold the answers to it."""
    numbers = count()

    @settings(
        max_examples=CALLS,
        derandomize=True,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=what.as_strategy(generation_mode=mode))
    def ask(case: Case[Any]) -> None:
        number = next(numbers)
        case.headers["Authorization"] = f"Bearer {program.token}"
        case.headers["Accept-Encoding"] = "identity"
        if mode is GenerationMode.POSITIVE:
            if number % 2:
                case.path_parameters.update(
                    {name: KNOWN[name] for name in case.path_parameters if name in KNOWN}
                )
            if "If-Match" in case.headers:
                case.headers["If-Match"] = "*"
            if "Idempotency-Key" in case.headers:
                case.headers["Idempotency-Key"] = f"{what.label}-{number}".replace(" ", "")
        answer = case.call()
        case.validate_response(answer, checks=HELD)

    ask()


def test_what_is_described_is_what_is_answered(secretary: Program) -> None:
    """Whatever is asked, the answer is one that the description tells, never a fault of ours."""
    schema = schemathesis.openapi.from_wsgi("/api/1/openapi.json", secretary.app)
    asked = 0
    for found in schema.get_all_operations():
        what: Described = found.ok()  # type: ignore[union-attr]
        ours = OPERATIONS[what.definition.raw["operationId"]]
        modes = list(GenerationMode) if ours.query or ours.takes else [GenerationMode.POSITIVE]
        for mode in modes:
            draw_calls(what, mode, secretary)
            asked += 1
    assert asked > 150
