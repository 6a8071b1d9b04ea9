"""A worker's rounds: next to nothing where nothing is due, and a fault that lasts said seldom."""

from __future__ import annotations

import logging
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from clubplanner.commands.serving.worker import LOG, SAID_AGAIN_S, Faults, _round
from clubplanner.config import Config
from clubplanner.errors import BusyError
from clubplanner.services.keeping.pruning import Pruner
from tests.large_club import noting_statements

if TYPE_CHECKING:
    import pytest

    from clubplanner.store.engine import Store

MOST_STATEMENTS = 20
"""The beginnings of transactions among them."""


def test_a_round_with_nothing_due_asks_little(club_store: Store) -> None:
    """Whom it would tell is read once there is something to tell."""
    now = datetime(2027, 3, 1, tzinfo=UTC)
    config, pruner = Config("", "http://127.0.0.1:8000"), Pruner()
    _round(club_store, config, lambda: now, pruner, Faults(), is_first=True)
    with noting_statements(club_store) as sent:
        _round(club_store, config, lambda: now, pruner, Faults(), is_first=False)
    assert len(sent) <= MOST_STATEMENTS
    assert not [text for text in sent if "push_reader" in text or "squad_coach" in text]


def test_a_fault_that_lasts_is_written_down_once_an_hour(caplog: pytest.LogCaptureFixture) -> None:
    """Another fault is told at once, and so is the end of it."""
    now_s = [0.0]
    faults = Faults(lambda: now_s[0])
    with caplog.at_level(logging.INFO, LOG.name):
        for _turn in range(100):
            faults.note(BusyError())
        assert len(caplog.records) == 1
        now_s[0] = SAID_AGAIN_S
        faults.note(BusyError())
        assert caplog.messages[-1].endswith("(and 99 rounds before)")
        faults.note(KeyError("club"))
        assert caplog.records[-1].exc_info is not None
        faults.is_over()
        faults.is_over()
        assert caplog.messages[3:] == ["rounds are done again"]
        faults.note(BusyError())
        assert len(caplog.records) == 5
