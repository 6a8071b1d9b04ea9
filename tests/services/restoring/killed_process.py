"""A program that backs up and brings back, and is killed on its way; for the tests of that.

Run with the path of records, a backup to bring back and how many times to kill. Each time it copies
the records and lets a child work on the copy that kills itself at a step (SIGKILL): before a
statement or commit of the database, or before or after a file is checked, noted and brought to the
disk. Then it looks what is there, and prints one line of JSON.
"""

from __future__ import annotations

import gc
import hashlib
import json
import os
import signal
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import event, select

from clubplanner.services.restoring.restoring import Wish, restore_backup
from clubplanner.store.tables.base import Base
from clubplanner.store.upkeep import backups
from clubplanner.store.upkeep.backups import UNFINISHED, make_backup, opened_backup
from clubplanner.store.upkeep.migrate import check_store
from tests.builders import NOW
from tests.compiled_once import compiled_once
from tests.records import copy_records, drop_records, open_records

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.store.engine import Store

    Work = Callable[[Store, Path], object]


class Killer:
    """Counts steps, and kills this process at one of them."""

    def __init__(self, at: int) -> None:
        self.at = at
        self.count = 0

    def step(self, *_: Any) -> None:
        """Count one step."""
        self.count += 1
        if self.count == self.at:
            os.kill(os.getpid(), signal.SIGKILL)

    def watch(self, store: Store) -> None:
        """Take each statement and commit, and each handling of a file, for a step."""
        for name in ("before_cursor_execute", "commit"):
            event.listen(store.engine, name, self.step)
        for name in ("_check", "_note", "_bring_to_disk"):
            setattr(backups, name, self._between(getattr(backups, name)))

    def _between(self, work: Callable[..., Any]) -> Callable[..., Any]:
        def stepped(*given: Any) -> Any:
            self.step()
            done = work(*given)
            self.step()
            return done

        return stepped


def digest_of(store: Store) -> str:
    """Return a value that is another if any row is."""
    found = hashlib.sha256()
    with store.read() as session:
        for table in Base.metadata.sorted_tables:
            for row in session.execute(select(table).order_by(*table.primary_key.columns)):
                found.update(repr(tuple(row)).encode())
    return found.hexdigest()


def run_child(path: Path, folder: Path, work: Work, at: int) -> int:
    """Work in a child that is killed at a step; return how many it took, 0 if it was killed."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        killer = Killer(at)
        store = open_records(path)
        killer.watch(store)
        work(store, folder)
        os.write(writing, str(killer.count).encode())
        os._exit(0)
    os.close(writing)
    os.waitpid(child, 0)
    with os.fdopen(reading) as said:
        return int(said.read() or 0)


def look(path: Path, folder: Path, before: str) -> dict[str, Any]:
    """Tell what is there: records as before or brought back, and what files."""
    store = open_records(path)
    check_store(store)
    now = digest_of(store)
    names = sorted(one.name for one in folder.iterdir())
    for name in names:
        if not name.endswith((UNFINISHED, "-wal", "-shm", "-journal")):
            with opened_backup(folder / name):
                pass
    with store.read() as session:
        restored = session.execute(select(Base.metadata.tables["restored"])).all()
    store.close()
    state = "new" if restored else "changed"
    return {"state": "old" if now == before else state, "files": names}


def main(path: Path, backup: Path, times: int) -> None:
    """Kill at steps spread over the way, and at the last ones."""

    def bring_back(store: Store, folder: Path) -> None:
        restore_backup(store, Wish(backup, folder / "replaced", is_replacing=True), NOW)

    def back_up(store: Store, folder: Path) -> None:
        make_backup(store, folder / "made", NOW)

    store = open_records(path)
    before = digest_of(store)
    store.close()
    gc.freeze()
    for name, work in (("restore", bring_back), ("backup", back_up)):
        total = 0
        for turn in range(times + 4):
            step = 0 if turn == 0 else 1 + (total - 1) * turn // times
            step = total - (times + 3 - turn) if turn > times else step
            copy = path.with_name(f"{name}-{turn}.sqlite")
            folder = copy.with_suffix("")
            folder.mkdir()
            copy_records(path, copy)
            took = run_child(copy, folder, work, step)
            total = total or took
            line = {"work": name, "step": step, "alive": bool(took)} | look(copy, folder, before)
            anew = folder.with_name(f"{folder.name}-again")
            anew.mkdir()
            again = open_records(copy)  # whatever is there, it can be done anew
            work(again, anew)
            again.close()
            drop_records(copy)
            print(json.dumps(line | {"total": total}), flush=True)


if __name__ == "__main__":
    with compiled_once():
        main(Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3]))
