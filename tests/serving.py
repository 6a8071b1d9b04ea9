"""The program served as a process of its own, asked past any library of ours."""

from __future__ import annotations

import http.client
import os
import re
import subprocess
import sys
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tests.records import address_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

ANSWER_S = 30


@dataclass(frozen=True, slots=True)
class Serving:
    """A server process.

    Attributes:
        address: What it says that it serves.
        port: The port it listens on.
        process: To read what else it says.
    """

    address: str
    port: int
    process: subprocess.Popen[str]


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer as it came over the line.

    Attributes:
        status: Its number.
        headers: Its headers; of several of a name the first.
        body: Its bytes, not decoded.
    """

    status: int
    headers: http.client.HTTPMessage
    body: bytes


def environment(**settings: str) -> dict[str, str]:
    """Return an environment without any setting of ours but these."""
    kept = {k: v for k, v in os.environ.items() if not k.startswith("CLUBPLANNER_")}
    return {**kept, "PYTHONUNBUFFERED": "1", **settings}


def run_command(
    database: Path, *arguments: str, **settings: str
) -> subprocess.CompletedProcess[str]:
    """Run a command in a process of its own."""
    command = [sys.executable, "-m", "clubplanner", "--database", address_of(database)]
    return subprocess.run(
        [*command, *arguments],
        env=environment(**settings),
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


@contextmanager
def serving(
    database: Path, *options: str, folder: Path | None = None, **settings: str
) -> Iterator[Serving]:
    """Serve a database, by default on a free port, until the block ends.

    Args:
        database: The file.
        options: Of the command; by default any free port.
        folder: Where another copy of the package lies that is to serve; None for this one.
        settings: What is set in its environment.
    """
    command = [sys.executable, "-m", "clubplanner", "--database", address_of(database), "serve"]
    process = subprocess.Popen(
        [*command, *(options or ("--port", "0"))],
        cwd=folder,
        env=environment(**settings),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert process.stdout is not None
        said = process.stdout.readline()
        found = re.fullmatch(r"Serving (\S+?)(?: on \S+?)?; stop with Ctrl-C\.\n", said)
        assert found is not None, said + (process.stderr.read() if process.stderr else "")
        number = re.search(r":(\d+);", said)
        yield Serving(found[1], int(number[1]) if number else 80, process)
    finally:
        process.kill()
        process.communicate(timeout=20)


def ask(
    port: int, path: str, host: str = "127.0.0.1", method: str = "GET", **headers: str
) -> Answer:
    """Ask once; header names are written with underscores."""
    line = http.client.HTTPConnection(host, port, timeout=ANSWER_S)
    try:
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        line.request(method, path, headers=named)
        answer = line.getresponse()
        return Answer(answer.status, answer.headers, answer.read())
    finally:
        line.close()
