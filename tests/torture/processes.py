"""What is killed and started again: servers, workers, and the database's own processes."""

from __future__ import annotations

import http.client
import os
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

import psycopg

from tests.own_server import start_server
from tests.records import SERVER, address_of, is_file
from tests.serving import environment, tell_warm

if TYPE_CHECKING:
    from collections.abc import Iterator

READY_S = 300


@dataclass(slots=True)
class Part:
    """Something that can be killed.

    Attributes:
        name: What it is.
        kills: How often it was.
    """

    name: str
    kills: int = 0

    def start(self) -> None:
        """Start it; it may not be ready at once."""
        raise NotImplementedError

    def mend(self) -> None:
        """Start it again if it has ended by itself, as who looks after processes does."""

    def is_up(self) -> bool:
        """Tell whether it does its work."""
        raise NotImplementedError

    def kill(self) -> None:
        """End it by signal 9."""
        raise NotImplementedError


@dataclass(slots=True)
class Child(Part):
    """A process of the program.

    Attributes:
        job: What the warm process is told.
        errors: What it says, for whoever looks why a run failed.
        port: The port that it serves; 0 for none.
    """

    job: dict[str, Any] | None = None
    errors: IO[bytes] | None = None
    port: int = 0
    _number: int = 0

    def start(self) -> None:
        """Fork it from the warm process."""
        assert self.job is not None
        assert self.errors is not None
        number = self.errors.fileno()
        self._number = tell_warm(self.job, number, number)

    def kill(self) -> None:
        """Kill it and wait until it is gone; what is gone already stays so."""
        if self._number == 0:
            return
        with suppress(ProcessLookupError):
            os.kill(self._number, signal.SIGKILL)
        tell_warm({"wait": self._number})
        self._number = 0

    def mend(self) -> None:
        """Start it again if it has ended, since the database was away when it began."""
        if self._number and has_ended(self._number):
            tell_warm({"wait": self._number})
            self.start()

    def is_up(self) -> bool:
        """Tell whether it answers; of one that serves nothing, whether it has not ended."""
        if not self.port:
            return not has_ended(self._number)
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=5)
        with closing(line), suppress(OSError, http.client.HTTPException):
            line.request("GET", "/health")
            return line.getresponse().status == 200
        return False

    def wait_until_ready(self) -> None:
        """Wait until it answers."""
        until = time.monotonic() + READY_S
        while not self.is_up():
            assert time.monotonic() < until, f"{self.name} does not begin"
            time.sleep(0.05)


def has_ended(number: int) -> bool:
    """Tell whether a process has ended that nobody has waited for yet (proc(5): state Z)."""
    try:
        return Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except OSError:
        return True


def server_part(path: Path, number: int, port: int, errors: IO[bytes]) -> Child:
    """Return a server of the program's own."""
    words = ["--database", address_of(path), "serve", "--port", str(port), "--no-worker"]
    settings = environment(CLUBPLANNER_PUBLIC_ADDRESS="http://127.0.0.1")
    job = {"arguments": words, "environment": settings}
    return Child(f"server {number}", job=job, errors=errors, port=port)


def worker_part(path: Path, number: int, mail_port: int, errors: IO[bytes]) -> Child:
    """Return a worker that does not pause; see `worker_process.py`."""
    settings = environment()
    if not is_file():
        settings[SERVER] = os.environ[SERVER]
    job = {
        "program": "tests.torture.worker_process:main",
        "arguments": [str(path), str(mail_port)],
        "environment": settings,
    }
    return Child(f"worker {number}", job=job, errors=errors)


@dataclass(slots=True)
class Office(Child):
    """A process that takes changes over lines of its own; see `office_process.py`."""

    def is_up(self) -> bool:
        """Tell whether it takes lines."""
        with suppress(OSError), socket.create_connection(("127.0.0.1", self.port), timeout=5):
            return True
        return False


def office_part(path: Path, number: int, port: int, errors: IO[bytes]) -> Office:
    """Return an office."""
    job = {
        "program": "tests.torture.office_process:main",
        "arguments": [address_of(path), str(port)],
        "environment": environment(),
    }
    return Office(f"office {number}", job=job, errors=errors, port=port)


def lets_in(address: str) -> bool:
    """Tell whether a database lets anybody in."""
    try:
        psycopg.connect(address, autocommit=True).close()
    except psycopg.OperationalError:
        return False
    return True


@dataclass(slots=True)
class Postmaster(Part):
    """The first process of a PostgreSQL: killed alone, as by a machine that has no memory left.

    Attributes:
        command: Starts it.
        user: Whose process it is; None for ours.
        address: Where it is reached.
    """

    command: tuple[str, ...] = ()
    user: str | None = None
    address: str = ""
    _process: subprocess.Popen[bytes] | None = None

    def kill(self) -> None:
        """Kill it; the others end by themselves when they notice."""
        assert self._process is not None
        self._process.kill()
        self._process.wait()

    def start(self) -> None:
        """Start it, again and again until those before have let go."""
        until = time.monotonic() + READY_S
        self._begin()
        while not self.is_up():
            assert time.monotonic() < until, "the database does not begin"
            time.sleep(0.05)
            if self._process is not None and self._process.poll() is not None:
                self._begin()

    def end(self) -> None:
        """End it at once, in order."""
        if self._process is not None:
            self._process.send_signal(signal.SIGINT)
            self._process.wait(READY_S)

    def _begin(self) -> None:
        self._process = subprocess.Popen(
            self.command,
            user=self.user,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    def is_up(self) -> bool:
        """Tell whether it lets anybody in."""
        return lets_in(self.address)


@dataclass(slots=True)
class Backend(Part):
    """A process of PostgreSQL that serves one connection; the others begin anew because of it."""

    address: str = ""

    def kill(self) -> None:
        """Kill one that works for us, preferring whoever holds the lock."""
        query = (
            "SELECT pid FROM pg_stat_activity WHERE application_name = 'clubplanner'"
            " AND pid <> pg_backend_pid() ORDER BY xact_start NULLS LAST LIMIT 1"
        )
        with suppress(psycopg.OperationalError, ProcessLookupError):
            with psycopg.connect(self.address, autocommit=True) as connection:
                found = connection.execute(query).fetchone()
            if found is not None:
                os.kill(found[0], signal.SIGKILL)

    def start(self) -> None:
        """Do nothing: the postmaster mends it."""

    def is_up(self) -> bool:
        """Tell whether the others have begun anew."""
        return lets_in(self.address)


@contextmanager
def postgresql(kept: Path | None = None) -> Iterator[list[Part]]:
    """Run a PostgreSQL that waits for its disk until the block ends; give what can be killed of it.

    Its records are kept in a folder where one is named, or end with it.

    Before it recovers it asks the system for all files at once: to ask for a thousand files one by
    one took it 2 to 27 seconds of a busy disk after each kill.

    `tests.records` keeps records there meanwhile.
    """
    folder = tempfile.mkdtemp(prefix="torture-") if kept is None else str(kept)
    Path(folder).mkdir(exist_ok=True)
    os.environ.setdefault("XDG_RUNTIME_DIR", folder if kept is None else str(kept.parent))
    server = start_server(folder, is_kept=kept is not None)
    address = str(server.get_uri())
    server.stop()  # from here on it is our own child
    sockets = str(psycopg.conninfo.conninfo_to_dict(address)["host"])
    command = (
        *(str(server.bin_path / "postgres"), "-D", folder, "-h", "", "-k", sockets),
        *("-c", "recovery_init_sync_method=syncfs"),
    )
    postmaster = Postmaster("postmaster", command=command, user=server.system_user, address=address)
    postmaster.start()
    before = os.environ.get(SERVER)
    os.environ[SERVER] = address
    try:
        yield [postmaster, Backend("backend", address=address)]
    finally:
        if before is None:
            del os.environ[SERVER]
        else:
            os.environ[SERVER] = before
        postmaster.end()
        if kept is None:
            shutil.rmtree(folder, ignore_errors=True)
