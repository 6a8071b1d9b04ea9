"""A program that delivers notices and is killed at every step in turn; for the test of that.

Run with the path of a database in which a change waits, and the present; the certificate to trust
comes in. For each step it copies the database, lets a child deliver that
kills itself there (SIGKILL), lets another child deliver later, and prints one line of JSON; it ends
with the first child that came through alive. A step is before a transaction begins, before its
commit, and before and after handing over.
"""

from __future__ import annotations

import gc
import json
import os
import ssl
import sys
from datetime import datetime, time, timedelta
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.config import Config
from clubplanner.domain.club.told.notices import QuietHours
from clubplanner.services.calendars.fetching import Reach
from clubplanner.services.pushes.delivering import deliver_pushes
from clubplanner.services.pushes.sending import Answer, Fate, post_message
from clubplanner.store.tables.notice_tables import NoticeRow
from clubplanner.store.tables.push_tables import PushedNoticeRow, PushRow
from tests.compiled_once import compiled_once
from tests.push_service import HERE
from tests.records import copy_records, open_records
from tests.services.mails.deliver_process import MOST_STEPS, Killer

if TYPE_CHECKING:
    from clubplanner.services.pushes.sending import Envelope

NO_QUIET = QuietHours(time(0), time(0))
CONFIG = Config("", "https://pitches.example", quiet=NO_QUIET)


def run_child(path: Path, reach: Reach, now: datetime, at: int) -> bool:
    """Deliver in a child that is killed at a step; return whether it came through alive."""
    child = os.fork()
    if child == 0:
        store = open_records(path)
        killer = Killer(at)
        killer.watch(store)

        def post(envelope: Envelope) -> Answer:
            killer.step()
            answer = post_message(envelope, reach=reach)
            killer.step()
            return answer

        deliver_pushes(store, CONFIG, lambda: now, post=post)
        os._exit(0)
    _, status = os.waitpid(child, 0)
    return not os.WIFSIGNALED(status)


def look(path: Path) -> dict[str, Any]:
    """Return what became of the notices and notes of a database."""
    store = open_records(path)
    with store.read() as session:
        states = session.scalars(select(PushRow.state)).all()
        notes = set(session.scalars(select(NoticeRow.id).where(NoticeRow.is_wanted)))
        done = set(session.scalars(select(PushedNoticeRow.notice_id)))
        return {"states": [str(state) for state in states], "undone": len(notes - done)}


def main(path: Path, now: datetime, certificate: str) -> None:
    """Kill at every step, then deliver later, and tell."""
    tls = ssl.create_default_context(cadata=certificate)
    reach = Reach(resolve=lambda _host, _port: [HERE], tls=tls, allow_loopback=True)
    _rehearse(path, now)
    gc.freeze()
    for step in count(1):
        copy = path.with_name(f"step-{step}.sqlite")
        copy_records(path, copy)
        alive = run_child(copy, reach, now, step)
        run_child(copy, reach, now + timedelta(minutes=5), 0)
        print(json.dumps({"step": step, "alive": alive, **look(copy)}), flush=True)
        if alive or step > MOST_STEPS:
            break


def _rehearse(path: Path, now: datetime) -> None:
    """Deliver once to nobody, so that what compiles on the way is there for every child."""
    copy = path.with_name("rehearsal.sqlite")
    copy_records(path, copy)
    store = open_records(copy)
    deliver_pushes(store, CONFIG, lambda: now, post=lambda _: Answer(Fate.TAKEN, 201))
    store.close()


if __name__ == "__main__":
    with compiled_once():
        main(Path(sys.argv[1]), datetime.fromisoformat(sys.argv[2]), sys.stdin.read())
