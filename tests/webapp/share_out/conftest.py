"""Runs of a share-out, for tests of their pages."""

from __future__ import annotations

import pytest

from clubplanner.webapp.base.runner import Runner


@pytest.fixture
def unhurried(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let runs be written down without starting their processes."""
    monkeypatch.setattr(Runner, "launch", lambda *_: None)
