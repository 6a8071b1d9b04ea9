"""Running it for years: told to end it finishes what is in hand; other servers serve it, too."""

from __future__ import annotations

import os
import signal
import stat
import subprocess
import sys
import threading
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING

import pytest

from clubplanner.store.engine import open_store
from clubplanner.store.upkeep.migrate import migrate
from tests.ports import free_port
from tests.serving import Answer, ask, environment

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store

SLOW = """
import sys, time
from flask import Flask
from clubplanner.commands.serving.server import serve_app, take_port

app = Flask("slow")

@app.get("/")
def slow():
    print("in hand", flush=True)
    time.sleep(1.5)
    return "whole" * 100_000

serve_app(app, take_port("127.0.0.1", int(sys.argv[1])))
"""


def test_told_to_end_it_answers_what_is_in_hand() -> None:
    """Somebody whose form is at work while the machine restarts gets their answer, whole."""
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-c", SLOW, str(port)], stdout=subprocess.PIPE, text=True
    )
    answers: list[Answer] = []
    try:
        asking = threading.Thread(target=lambda: answers.append(_ask_soon(port, "/")))
        asking.start()
        assert process.stdout is not None
        assert process.stdout.readline() == "in hand\n"
        process.send_signal(signal.SIGTERM)
        asking.join(30)
        assert process.wait(30) == 0
    finally:
        process.kill()
        process.communicate()
    assert [(each.status, len(each.body)) for each in answers] == [(200, 500_000)]


def test_a_worker_of_its_own_ends_when_told(club_store: Store, store_path: Path) -> None:
    """Mails and notices can be delivered by a process apart, which a supervisor stops."""
    command = [sys.executable, "-m", "clubplanner", "--database", f"sqlite:///{store_path}"]
    process = subprocess.Popen(
        [*command, "worker"],
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert process.stdout is not None
        assert process.stdout.readline() == "Working; stop with Ctrl-C.\n"
        process.send_signal(signal.SIGTERM)
        _out, err = process.communicate(timeout=30)
    finally:
        process.kill()
    assert (process.returncode, err) == (0, "")


SERVERS = {
    "gunicorn": ["gunicorn", "--threads", "4", "-b", "127.0.0.1:{port}"],
    "flask": ["flask", "--app", "clubplanner.webapp.wsgi", "run", "--port", "{port}"],
}
FACTORY = "clubplanner.webapp.wsgi:create_app()"


@pytest.mark.parametrize("name", SERVERS)
def test_other_servers_serve_it(club_store: Store, store_path: Path, name: str) -> None:
    """A WSGI server that a host of machines has already finds the app and its settings."""
    port = free_port()
    command = [part.format(port=port) for part in SERVERS[name]]
    command += [FACTORY] if name == "gunicorn" else []
    with _running([sys.executable, "-m", *command], store_path):
        answer = _ask_soon(port, "/health")
        page = ask(port, "/sign-in")
    assert (answer.status, answer.body) == (200, b"well\n")
    assert page.status == 200
    assert b"css/pages.css" in page.body


def test_new_records_are_for_their_owner_alone(tmp_path: Path) -> None:
    """A file that holds names and telephone numbers is readable by nobody else on the machine."""
    file = tmp_path / "new.sqlite"
    before = os.umask(0)
    try:
        store = open_store(f"sqlite:///{file}")
        migrate(store)
        store.close()
    finally:
        os.umask(before)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600


@contextmanager
def _running(command: list[str], database: Path) -> Iterator[None]:
    process = subprocess.Popen(
        command,
        env=environment(CLUBPLANNER_DATABASE=f"sqlite:///{database}"),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        yield
    finally:
        process.send_signal(signal.SIGTERM)
        try:
            process.wait(30)
        finally:
            process.kill()
            process.wait()


def _ask_soon(port: int, path: str) -> Answer:
    """Ask as soon as somebody listens, within half a minute."""
    until = time.monotonic() + 30
    while True:
        try:
            return ask(port, path)
        except ConnectionRefusedError:
            if time.monotonic() > until:
                raise
            time.sleep(0.05)
