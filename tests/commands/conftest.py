"""What all tests of commands have: one present instant, and schemas for what is printed.

Whatever a command prints for a program, in any of these tests, is held to its schema.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click
import pytest

from clubplanner.commands.base import handing_out, output, present
from tests.builders import NOW
from tests.commands.held_to_schemas import hold_to_schema

if TYPE_CHECKING:
    from collections.abc import Callable


@pytest.fixture(autouse=True)
def _json_fits_its_schema(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(output, "json_text", _held(output.json_text))
    monkeypatch.setattr(handing_out, "json_text", output.json_text)


@pytest.fixture(autouse=True)
def _one_present(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no verdict hang on the day of the run; `tests/use` has commands by the running clock."""
    monkeypatch.setattr(present, "now", lambda: NOW)


def _held(write: Callable[[Any], str]) -> Callable[[Any], str]:
    def held(value: Any) -> str:
        text = write(value)
        is_fault = isinstance(value, dict) and set(value) == {"error", "problems"}
        if not is_fault:
            hold_to_schema(click.get_current_context().command_path.split(), text)
        json.loads(text)
        return text

    return held
