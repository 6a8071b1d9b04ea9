"""Beginning the process that works on a run of a share-out; it outlives the one that begins it."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING

from clubplanner.config import ENVIRONMENT_PREFIX
from clubplanner.logs import club_at_work

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

DATABASE = f"{ENVIRONMENT_PREFIX}DATABASE"
CLUB = f"{ENVIRONMENT_PREFIX}CLUB"
"""The short name of the club, for the log; blank where one process serves one club."""
WORKER = "clubplanner.services.share_out.runs.share_worker"


def launch_run(store: Store, number: int) -> subprocess.Popen[bytes]:
    """Begin the process of a run that is written down; its log bears the club at work here."""
    address = store.engine.url.render_as_string(hide_password=False)
    return subprocess.Popen(  # noqa: S603 - our own module, nothing a person typed
        [sys.executable, "-m", WORKER, str(number)],
        stdin=subprocess.DEVNULL,
        start_new_session=True,
        env={
            **os.environ,
            DATABASE: address,
            CLUB: club_at_work(),
        },  # a list of processes shows no password
    )
