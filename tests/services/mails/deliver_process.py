"""A program that delivers mails and is killed at every step in turn; for the test of that.

Run with the path of a database in which changes wait, and the port of a mail server. For each step
it copies the database, lets a child deliver that kills itself there (SIGKILL), lets another child
deliver later, and prints one line of JSON; it ends with the first child that came through alive.
A step is before a transaction begins, before its commit, and before and after handing over.
"""

from __future__ import annotations

import gc
import json
import os
import signal
import sys
from datetime import datetime, timedelta
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import event, select

from clubplanner.config import Config, MailServer
from clubplanner.domain.club.told.notices import QuietHours
from clubplanner.services.mails.sending.delivering import deliver
from clubplanner.services.mails.sending.transport import Fate, send_mail
from clubplanner.store.tables.notice_tables import MailRow, NoticeRow
from tests.compiled_once import compiled_once
from tests.mail_server import SENDER
from tests.records import copy_records, open_records

if TYPE_CHECKING:
    from email.message import EmailMessage

    from clubplanner.store.engine import Store

MOST_STEPS = 200


class Killer:
    """Kills this process at a step."""

    def __init__(self, at: int) -> None:
        self.left = at

    def step(self, *_: Any) -> None:
        """Count one step."""
        self.left -= 1
        if self.left == 0:
            os.kill(os.getpid(), signal.SIGKILL)

    def watch(self, store: Store) -> None:
        """Take each beginning and commit of a transaction for a step.

        One that is killed in between leaves what one killed before its commit leaves: nothing.
        """
        for name in ("begin", "commit"):
            event.listen(store.engine, name, self.step)

    def send(self, server: MailServer, message: EmailMessage, address: str) -> tuple[Fate, str]:
        """Hand over, with a step before and after."""
        self.step()
        done = send_mail(server, message, address)
        self.step()
        return done


def run_child(path: Path, config: Config, now: datetime, at: int) -> bool:
    """Deliver in a child that is killed at a step; return whether it came through alive."""
    child = os.fork()
    if child == 0:
        store = open_records(path)
        killer = Killer(at)
        killer.watch(store)
        deliver(store, config, lambda: now, send=killer.send)
        os._exit(0)
    _, status = os.waitpid(child, 0)
    return not os.WIFSIGNALED(status)


def look(path: Path) -> dict[str, Any]:
    """Return what became of the mails and notes of a database."""
    store = open_records(path)
    with store.read() as session:
        mails = session.scalars(select(MailRow)).all()
        waiting = session.scalars(select(NoticeRow.id).where(NoticeRow.told_at.is_(None))).all()
        return {
            "ids": [mail.message_id for mail in mails],
            "states": [str(mail.state) for mail in mails],
            "untold": len(waiting),
        }


def main(path: Path, port: int, now: datetime) -> None:
    """Kill at every step, then deliver later, and tell."""
    server = MailServer("127.0.0.1", port, "none", "", "", SENDER)
    midnight = datetime.min.time()
    config = Config("", "https://pitches.example", 0, server, QuietHours(midnight, midnight))
    _rehearse(path, config, now)
    gc.freeze()
    for step in count(1):
        copy = path.with_name(f"step-{step}.sqlite")
        copy_records(path, copy)
        alive = run_child(copy, config, now, step)
        run_child(copy, config, now + timedelta(minutes=5), 0)
        print(json.dumps({"step": step, "alive": alive, **look(copy)}), flush=True)
        if alive or step > MOST_STEPS:
            break


def _rehearse(path: Path, config: Config, now: datetime) -> None:
    """Deliver once to nobody, so that what compiles on the way is there for every child."""
    copy = path.with_name("rehearsal.sqlite")
    copy_records(path, copy)
    store = open_records(copy)
    deliver(store, config, lambda: now, send=lambda *_: (Fate.TAKEN, ""))
    store.close()


if __name__ == "__main__":
    with compiled_once():
        main(Path(sys.argv[1]), int(sys.argv[2]), datetime.fromisoformat(sys.argv[3]))
