"""Mails from the command line, and the worker beside the pages."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

from clubplanner.commands import main
from clubplanner.commands.serving.worker import worker
from clubplanner.config import Config, config_from_environment
from clubplanner.errors import RefusedError, StoreError
from clubplanner.services.mails.sending.delivering import deliver
from tests.builders import LONDON, NOW
from tests.mail_server import SENDER, mail_server
from tests.services.mails.sending.test_delivering import ADDRESS, LATER, NOON, WITH_ADDRESSES
from tests.small_club import book, load_small_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club with mail addresses."""
    return load_small_club(empty_store, squads=WITH_ADDRESSES)


def run(store: Store, *arguments: str) -> str:
    """Run a command on a store's database."""
    result = CliRunner().invoke(main, ["--database", str(store.engine.url), *arguments])
    assert result.exit_code == 0, result.output
    return result.output


def test_deliver_mails_what_is_due(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """The environment names the server; the list then says what went out."""
    soon = (NOW + timedelta(hours=3)).astimezone(LONDON)
    start = soon.hour * 60 + soon.minute
    book(store, day=soon.date(), start_min=start, end_min=start + 30, now=NOW)
    monkeypatch.setenv("CLUBPLANNER_QUIET_HOURS", "00:00-00:00")
    with mail_server() as box:
        monkeypatch.setenv("CLUBPLANNER_SMTP_HOST", "127.0.0.1")
        monkeypatch.setenv("CLUBPLANNER_SMTP_PORT", str(box.settings.port))
        monkeypatch.setenv("CLUBPLANNER_SMTP_SECURITY", "none")
        monkeypatch.setenv("CLUBPLANNER_MAIL_FROM", SENDER)
        assert json.loads(run(store, "mails", "deliver", "--json"))["made"] == 0, (
            "it may not be over"
        )
        assert "1 mails made, 1 sent" in run(store, "mails", "deliver", "--at-once")
    assert len(box.taken) == 1
    assert "U12 Kestrels: 1 booking. Sent" in run(store, "mails", "list")


def test_nothing_yet(store: Store) -> None:
    """An empty list says so."""
    assert "No mails yet." in run(store, "mails", "list")


def test_the_worker_delivers_by_itself(store: Store) -> None:
    """Round after round, until the block ends."""
    book(store, now=NOON)
    with mail_server() as box:
        config = Config("", ADDRESS, mail_server=box.settings)
        with worker(store, config, lambda: LATER, pause_s=0.01) as round_done:
            assert round_done.wait(120)
    assert len(box.taken) == 1


def test_a_start_tries_a_server_that_refused_at_once(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever mended the settings starts the program anew; until then the list says why."""
    book(store, now=NOON)
    with mail_server() as box:
        config = Config("", ADDRESS, mail_server=box.settings)
        box.answers["MAIL"] = "530 5.7.0 Authentication required"
        deliver(store, config, lambda: LATER)
        monkeypatch.setenv("CLUBPLANNER_SMTP_HOST", "127.0.0.1")
        monkeypatch.setenv("CLUBPLANNER_MAIL_FROM", SENDER)
        listed = run(store, "mails", "list")
        assert listed.startswith("No mail goes out. The mail server 127.0.0.1 wants a name")
        assert "“530 5.7.0 Authentication required”" in listed
        del box.answers["MAIL"]
        deliver(store, config, lambda: LATER)
        assert box.taken == []
        with worker(store, config, lambda: LATER, pause_s=0.01) as round_done:
            assert round_done.wait(120)
    assert len(box.taken) == 1


@pytest.mark.parametrize("fault", [StoreError("busy"), ValueError("broken")])
def test_a_round_that_fails_is_followed_by_another(
    store: Store,
    fault: Exception,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    """The worker does not end because of one fault."""
    calls: list[int] = []

    def broken(*_: object, **_named: object) -> None:
        calls.append(1)
        raise fault

    monkeypatch.setattr("clubplanner.commands.serving.worker.deliver", broken)
    with worker(store, Config(), lambda: LATER, pause_s=0.01) as round_done:
        assert round_done.wait(120)
        round_done.clear()
        assert round_done.wait(120)
    assert len(calls) >= 2
    assert "a round" in caplog.text


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("SMTP_SECURITY", "maybe", "starttls, tls or none"),
        ("SMTP_PORT", "99999", "from 1 to 65535"),
        ("SMTP_PORT", "x", "from 1 to 65535"),
        ("MAIL_FROM", "the club", "the club's own mail address"),
        ("MAIL_FROM", "", "the club's own mail address"),
        ("QUIET_HOURS", "at night", "two times of day"),
        ("QUIET_HOURS", "24:30-07:00", "two times of day"),
    ],
)
def test_settings_that_cannot_be_read_are_told(
    monkeypatch: pytest.MonkeyPatch, name: str, value: str, words: str
) -> None:
    """Which one, and what to write; exit code 2 and no traceback."""
    monkeypatch.setenv("CLUBPLANNER_SMTP_HOST", "mail.example")
    monkeypatch.setenv("CLUBPLANNER_MAIL_FROM", SENDER)
    monkeypatch.setenv(f"CLUBPLANNER_{name}", value)
    with pytest.raises(RefusedError, match=words):
        config_from_environment()
    result = CliRunner().invoke(main, ["mails"])
    assert result.exit_code == 2
    assert words in result.output


def test_the_password_is_not_printed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Settings may be logged; the password is left out."""
    for name, value in (("HOST", "mail.example"), ("USER", "club"), ("PASSWORD", "swordfish")):
        monkeypatch.setenv(f"CLUBPLANNER_SMTP_{name}", value)
    monkeypatch.setenv("CLUBPLANNER_MAIL_FROM", SENDER)
    config = config_from_environment()
    assert config.mail_server is not None
    assert (config.mail_server.port, config.mail_server.password) == (587, "swordfish")
    assert "swordfish" not in repr(config)
