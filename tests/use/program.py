"""Running the installed program in a folder of its own, and serving it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
import urllib.request
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from tests.ports import free_port

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

LONGEST_COMMAND_S = 240
ONE_AFTER_THE_OTHER = """
import contextlib, io, json, os, sys
from clubplanner.commands import main
for line in sys.stdin:
    words, folder, environment = json.loads(line)
    os.chdir(folder)
    os.environ.clear()
    os.environ.update(environment)
    out, err, code = io.StringIO(), io.StringIO(), 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main(words, prog_name="clubplanner")
        except SystemExit as end:
            code = end.code
    print(json.dumps([code or 0, out.getvalue(), err.getvalue()]), flush=True)
"""
"""Runs commands in one process, since loading the program takes longer than most of them."""
_LOADED: dict[Path, subprocess.Popen[str]] = {}
"""The process of each unpacked wheel that runs commands one after the other."""


@dataclass(frozen=True, slots=True)
class Done:
    """What a command answered.

    Attributes:
        words: The command as it was typed.
        code: Exit code.
        out: Standard output.
        err: Standard error.
    """

    words: str
    code: int
    out: str
    err: str

    def json(self) -> Any:
        """Return what was printed for a program."""
        return json.loads(self.out)


@dataclass(frozen=True, slots=True)
class Program:
    """The program of an unpacked wheel, working in a folder.

    Attributes:
        wheel: Where the wheel was unpacked.
        folder: Where commands are typed; its database lies here.
        port: Where it is served.
        settings: Further environment, by name.
    """

    wheel: Path
    folder: Path
    port: int = field(default_factory=free_port)
    settings: Mapping[str, str] = field(default_factory=dict)

    @property
    def address(self) -> str:
        """Where its pages are served."""
        return f"http://127.0.0.1:{self.port}"

    @property
    def log(self) -> Path:
        """What the server printed."""
        return self.folder.parent / f"{self.folder.name}-server.log"

    def run(self, *words: str, code: int | None = 0) -> Done:
        """Run a command to its end; with None any exit code will do."""
        done = subprocess.run(
            self._command(*words),
            cwd=self.folder,
            env=self._environment(),
            capture_output=True,
            text=True,
            check=False,
            stdin=subprocess.DEVNULL,
            timeout=LONGEST_COMMAND_S,
        )
        answer = Done(" ".join(words), done.returncode, done.stdout, done.stderr)
        assert code is None or answer.code == code, answer
        assert "Traceback" not in answer.out + answer.err, answer
        return answer

    def run_loaded(self, *words: str, code: int | None = 0) -> Done:
        """Run a command like `run`, in the process that has the program loaded."""
        child = _loaded(self.wheel)
        assert child.stdin is not None
        assert child.stdout is not None
        told = words, str(self.folder), self._environment()
        child.stdin.write(f"{json.dumps(told)}\n")
        child.stdin.flush()
        answer = Done(" ".join(words), *json.loads(child.stdout.readline()))
        assert code is None or answer.code == code, answer
        assert "Traceback" not in answer.out + answer.err, answer
        return answer

    @contextmanager
    def serving(self, *words: str, wait_s: float = 300.0) -> Iterator[None]:
        """Serve until the block ends; by default with `serve` on the program's port."""
        command = self._command(*(words or ("serve", "--port", str(self.port))))
        with self.log.open("ab") as log:
            server = subprocess.Popen(
                command, cwd=self.folder, env=self._environment(), stdout=log, stderr=log
            )
            try:
                self._await(server, wait_s)
                yield
            finally:
                server.terminate()
                server.wait(timeout=30)

    def _await(self, server: subprocess.Popen[bytes], wait_s: float) -> None:
        latest = time.monotonic() + wait_s
        while time.monotonic() < latest:
            assert server.poll() is None, self.log.read_text("utf-8")
            try:
                with urllib.request.urlopen(self.address + "/sign-in", timeout=5):  # noqa: S310
                    return
            except OSError:
                time.sleep(0.1)
        raise AssertionError(f"{self.address} does not answer: {self.log.read_text('utf-8')}")

    def _command(self, *words: str) -> list[str]:
        return [sys.executable, "-P", "-m", "clubplanner", *words]

    def _environment(self) -> dict[str, str]:
        return {**_plain(self.wheel), **self.settings}


def _plain(wheel: Path) -> dict[str, str]:
    kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    return {**kept, "PYTHONPATH": str(wheel)}


def _loaded(wheel: Path) -> subprocess.Popen[str]:
    """Return the process that has a wheel's program loaded, begun when it is first asked for."""
    if wheel not in _LOADED:
        _LOADED[wheel] = subprocess.Popen(
            [sys.executable, "-P", "-c", ONE_AFTER_THE_OTHER],
            cwd=wheel,
            env=_plain(wheel),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
    return _LOADED[wheel]


def end_loaded(wheel: Path) -> None:
    """End the process that has a wheel's program loaded, if it was begun."""
    child = _LOADED.pop(wheel, None)
    if child is not None:
        child.communicate(timeout=30)
