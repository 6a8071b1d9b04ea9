"""A process that has the program loaded, and has each command run by a child of its own.

Loading the program takes longer than most commands. A child is a process by itself, with the
arguments, the environment, the folder and the outputs that it is given; that loading works is held
by the tests of the installed program. It may be another program than ours, a function of a module.
Started with the number of a socket that it is told by.
"""

from __future__ import annotations

import gc
import json
import os
import socket
import sys
from importlib import import_module
from tempfile import TemporaryDirectory
from traceback import print_exc
from typing import Any

from clubplanner import commands
from clubplanner.commands.root import WHERE
from clubplanner.config import Config
from clubplanner.store.engine import open_store
from clubplanner.store.upkeep.migrate import migrate
from clubplanner.webapp import create_app
from tests.compiled_once import compiled_once

LONGEST_LINE = 200_000


def main(told: socket.socket) -> None:
    """Begin children and wait for them, as told, until nobody tells any more."""
    for place in WHERE.values():
        import_module(f"clubplanner.commands.{place.partition(':')[0]}")
    _rehearse()
    gc.freeze()
    while True:
        line, outputs, _flags, _sender = socket.recv_fds(told, LONGEST_LINE, 2)
        if not line:
            return
        job = json.loads(line)
        if "wait" in job:
            _, status = os.waitpid(job["wait"], 0)
            answer = os.waitstatus_to_exitcode(status)
        else:
            answer = os.fork()
            if answer == 0:
                told.close()
                _run(job, outputs)
            for output in outputs:
                os.close(output)
        told.sendall(json.dumps(answer).encode())


def _rehearse() -> None:
    """Make an app once, so that what compiles on the way is there for every child."""
    with TemporaryDirectory() as folder:
        store = open_store(f"sqlite:///{folder}/empty.sqlite")
        migrate(store)
        create_app(store, Config())
        store.close()


def _run(job: dict[str, Any], outputs: list[int]) -> None:
    """Be the command; this does not return."""
    code = 1
    try:
        for number, output in enumerate(outputs, start=1):
            os.dup2(output, number)
        os.environ.clear()
        os.environ.update(job["environment"])
        sys.stdout = open(1, "w", buffering=1, closefd=False)  # noqa: SIM115
        sys.stderr = open(2, "w", buffering=1, closefd=False)  # noqa: SIM115
        module, _, name = job.get("program", "").partition(":")
        try:
            if module:
                getattr(import_module(module), name)(job["arguments"])
            else:
                commands.main(job["arguments"], prog_name="clubplanner")
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else int(end.code is not None)
    except BaseException:
        print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


if __name__ == "__main__":
    with compiled_once():
        main(socket.socket(fileno=int(sys.argv[1])))
