"""The program served as a process of its own, asked past any library of ours."""

from __future__ import annotations

import atexit
import http.client
import json
import os
import re
import signal
import socket
import subprocess
import sys
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from tempfile import TemporaryFile
from typing import IO, TYPE_CHECKING

from tests.records import address_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

ROOT = Path(__file__).resolve().parents[1]
ANSWER_S = 300


@dataclass(frozen=True, slots=True)
class Serving:
    """A server process.

    Attributes:
        address: What it says that it serves.
        port: The port it listens on.
    """

    address: str
    port: int


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


@cache
def _warm() -> tuple[socket.socket, subprocess.Popen[bytes]]:
    """Start the process that has the program loaded; it is ended as this one ends."""
    ours, theirs = socket.socketpair()
    with theirs:
        number = theirs.fileno()
        command = [sys.executable, "-m", "tests.warm_process", str(number)]
        process = subprocess.Popen(command, cwd=ROOT, pass_fds=[number], stdin=subprocess.DEVNULL)
    atexit.register(_end_warm, ours, process)
    return ours, process


def _end_warm(ours: socket.socket, process: subprocess.Popen[bytes]) -> None:
    """Tell the process that has the program loaded no more, which ends it, and wait for that."""
    ours.close()
    process.wait(ANSWER_S)


def tell_warm(job: Mapping[str, object], *outputs: int) -> int:
    """Tell the warm process what to do (see there), and return its answer.

    Args:
        job: A command to begin, or the process to wait for.
        outputs: Where its outputs go; two descriptors.

    Returns:
        The number of the process that was begun, or the exit code of the one that ended.
    """
    line, _process = _warm()
    socket.send_fds(line, [json.dumps(job).encode()], outputs)
    return int(line.recv(100))


@dataclass(frozen=True, slots=True)
class Command:
    """A command that runs in a process of its own.

    Attributes:
        number: The process's.
        wait: Waits until it ends, and returns its exit code.
        out: What it prints, as far as it has printed it.
        err: What it says besides.
    """

    number: int
    wait: Callable[[], int]
    out: IO[str]
    err: IO[str]


@contextmanager
def begun(
    arguments: Sequence[str], settings: dict[str, str], folder: Path | None = None
) -> Iterator[Command]:
    """Begin a command, with another copy of the package from scratch."""
    given = environment(**settings)
    reading, writing = os.pipe()
    with os.fdopen(reading) as out, TemporaryFile("w+") as err:
        if folder is None:
            job = {"arguments": arguments, "environment": given}
            number = tell_warm(job, writing, err.fileno())
            wait: Callable[[], int] = partial(tell_warm, {"wait": number})
        else:
            command = [sys.executable, "-m", "clubplanner", *arguments]
            process = subprocess.Popen(command, cwd=folder, env=given, stdout=writing, stderr=err)
            number, wait = process.pid, process.wait
        os.close(writing)
        yield Command(number, wait, out, err)


def _about(database: Path, words: Sequence[str]) -> list[str]:
    return ["--database", address_of(database), *words]


def run_command(
    database: Path, *arguments: str, **settings: str
) -> subprocess.CompletedProcess[str]:
    """Run a command in a process of its own; the demo has records of its own."""
    words = list(arguments) if "demo" in arguments else _about(database, arguments)
    with begun(words, settings) as command:
        out, code = command.out.read(), command.wait()
        command.err.seek(0)
        return subprocess.CompletedProcess(arguments, code, out, command.err.read())


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
    options = options or ("--port", "0")
    with begun(_about(database, ("serve", *options)), settings, folder) as command:
        try:
            said = command.out.readline()
            found = re.fullmatch(r"Serving (\S+?)(?: on \S+?)?; stop with Ctrl-C\.\n", said)
            command.err.seek(0)
            assert found is not None, said + command.err.read()
            number = re.search(r":(\d+);", said)
            yield Serving(found[1], int(number[1]) if number else 80)
        finally:
            os.kill(command.number, signal.SIGKILL)
            command.wait()


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
