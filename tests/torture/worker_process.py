"""A worker that tells at once and hardly pauses, so that a kill meets it at work."""

from __future__ import annotations

import time
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from clubplanner.config import Config, MailServer
from clubplanner.domain.club.told.notices import QuietHours
from clubplanner.errors import PlannerError
from clubplanner.services.mails.sending.delivering import deliver
from clubplanner.webapp.factory import real_clock
from tests.mail_server import SENDER
from tests.records import open_records

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

PAUSE_S = 0.25
MIDNIGHT = datetime.min.time()


def settings(mail_port: int) -> Config:
    """Return what a worker goes by: no quiet hours, and the run's own mail server."""
    server = MailServer("127.0.0.1", mail_port, "none", "", "", SENDER)
    quiet = QuietHours(MIDNIGHT, MIDNIGHT)
    return Config("", "https://pitches.example", 0, server, quiet)


def main(arguments: Sequence[str], clock: Callable[[], datetime] = real_clock) -> None:
    """Deliver round after round; whatever goes wrong, the next one follows."""
    path, port = arguments
    store, config = open_records(Path(path)), settings(int(port))
    while True:
        try:
            deliver(store, config, clock, at_once=True)
        except PlannerError as fault:  # the database is away
            print(fault, flush=True)
        time.sleep(PAUSE_S)
