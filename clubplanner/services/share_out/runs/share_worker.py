"""The process that works on one run of a share-out.

Started as `python -m clubplanner.services.share_out.runs.share_worker NUMBER`, with the address of
the records in the environment: everybody on a machine sees the arguments of its processes. It gives
a sign of life and its progress to the store every second, and looks there whether somebody asks it
to stop. It holds a claim on its run (`store/claims.py`): the run is done in the transaction that
keeps its proposal, and a process that was taken for dead keeps none.
"""

from __future__ import annotations

import logging
import os
import signal
import sys
import threading
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from clubplanner.config import Config
from clubplanner.errors import PlannerError, StoreError
from clubplanner.language import _, speaking
from clubplanner.logs import at_work_for, set_up_logs
from clubplanner.services.rows.club.club import club_language
from clubplanner.services.share_out.again.again import propose_reshare
from clubplanner.services.share_out.again.in_turns import TurnWishes, propose_turns
from clubplanner.services.share_out.anew.anew import run_share_out, share_evening_out
from clubplanner.services.share_out.runs.kept import State, progress_as_json
from clubplanner.services.share_out.runs.launching import CLUB, DATABASE
from clubplanner.services.share_out.runs.requests import RunRequest, Work, request_from_json
from clubplanner.services.share_out.runs.standing_back import stand_back
from clubplanner.services.share_out.tonight.shared_out import Tonight, propose_tonight
from clubplanner.sharing.values.brake import Brake
from clubplanner.store.claims import RunClaim
from clubplanner.store.engine import open_store
from clubplanner.store.tables.run_tables import ShareRunRow

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from clubplanner.sharing.values.outcome import Progress
    from clubplanner.store.engine import Store

LOG = logging.getLogger("clubplanner.services")

BEAT_S = 1.0
"""How often a sign of life is given, seconds."""


def real_clock() -> datetime:
    """Return the machine's present instant, UTC."""
    return datetime.now(UTC)


class Pulse(threading.Thread):
    """Gives signs of life while the search runs, and pulls its brake when asked to stop."""

    def __init__(
        self, store: Store, claim: RunClaim, brake: Brake, clock: Callable[[], datetime]
    ) -> None:
        super().__init__(daemon=True)
        self._store, self._claim, self._brake, self._clock = store, claim, brake, clock
        self._over = threading.Event()
        self._lock = threading.Lock()
        self._progress: dict[str, Any] = {}

    def note(self, progress: Progress) -> None:
        """Take a report of the search in; it is written at the next beat."""
        with self._lock:
            self._progress = progress_as_json(self._progress, progress)

    @property
    def progress(self) -> dict[str, Any]:
        """What is known of the progress."""
        with self._lock:
            return self._progress

    def run(self) -> None:
        """Beat until it is over."""
        while not self._over.wait(BEAT_S):
            self.beat()

    def beat(self) -> None:
        """Write the progress down and look whether to stop."""
        try:
            with self._store.write(in_passing=True) as session:
                row = session.get_one(ShareRunRow, self._claim.number)
                is_ours = row.begun_at == self._claim.begun_at
                if is_ours:
                    row.seen_at, row.progress = self._clock(), self.progress
                is_stop_asked = row.is_stop_asked or not is_ours
        except StoreError:  # somebody else is writing for long; the next beat will do
            return
        if is_stop_asked:
            self._brake.pull()

    def end(self) -> None:
        """Beat no more."""
        self._over.set()
        self.join()


def work(
    store: Store,
    number: int,
    brake: Brake | None = None,
    clock: Callable[[], datetime] = real_clock,
    *,
    stands_back: bool = False,
) -> None:
    """Work on a run that is queued, from its beginning to its end; leave any other alone.

    Args:
        store: The database.
        number: The run's number.
        brake: Stops it from outside; the best plan is kept.
        clock: The machine's clock.
        stands_back: Whether the search lets all else on the computer go first, in a process of
            its own whose end this one outlives; for a process that does nothing else, as the one
            cannot be taken back.
    """
    with speaking(club_language(store)):
        _work(store, number, brake or Brake(), clock, stands_back=stands_back)


def _work(
    store: Store,
    number: int,
    brake: Brake,
    clock: Callable[[], datetime],
    *,
    stands_back: bool,
) -> None:
    with store.write() as session:
        row = session.get(ShareRunRow, number)
        if row is None or row.state != State.QUEUED.value:
            return
        begun_at = row.begun_at = row.seen_at = clock().replace(microsecond=0)
        row.state = State.RUNNING.value
        request, now = request_from_json(row.request), row.asked_at
    claim = RunClaim(number, begun_at, (State.RUNNING.value, State.DONE.value))
    pulse = Pulse(store, claim, brake, clock)
    pulse.start()  # first: who holds the write lock for a sign of life does not stand back
    if stands_back:
        stand_back()
    fault = ""
    try:
        claimed = store.claimed(claim)
        _share_out(claimed, request, now, pulse.note, brake, is_apart=stands_back)
    except PlannerError as error:
        fault = str(error)
    except Exception:
        LOG.exception("run %s of a share-out broke off", number)
        fault = _("It broke off; repeat it, or allow less time.")
    finally:
        pulse.end()
    with store.write() as session:
        row = session.get_one(ShareRunRow, number)
        if row.begun_at != begun_at:
            return  # it was taken up by another process
        if row.state == State.RUNNING.value:  # else its proposal was kept, and it is done
            row.state = State.FAILED.value
        elif row.state == State.DONE.value and brake.is_pulled:
            row.state = State.STOPPED.value
        row.ended_at = row.seen_at = clock()
        row.progress, row.fault = pulse.progress, fault


def _share_out(
    store: Store,
    request: RunRequest,
    now: datetime,
    note: Callable[[Progress], None],
    brake: Brake,
    *,
    is_apart: bool,
) -> int:
    """Do what a run is asked to do, and return the number of the proposal."""
    effort, scope = request.effort, request.scope
    if request.work is Work.TURNS:
        wishes = TurnWishes(request.still, request.same_start)
        return propose_turns(store, request.stretch, wishes, effort, now, note, brake)
    if request.work is Work.STRETCH or scope is None:
        pins = request.pins
        done = run_share_out(
            store,
            request.stretch,
            effort,
            now,
            note,
            pins=pins,
            brake=brake,
            is_apart=is_apart,
        )
        return done.number
    if request.work is Work.EVENING:
        done = share_evening_out(
            store, scope.day, effort, now, note, pins=request.pins, brake=brake, is_apart=is_apart
        )
        return done.number
    if request.work is Work.TONIGHT:
        wish = Tonight(scope.day, request.disruption, request.pins)
        return propose_tonight(store, wish, effort, now, note, brake, is_apart=is_apart)
    return propose_reshare(
        store, scope, request.disruption, effort, now, note, brake, is_apart=is_apart
    )


def main(arguments: Sequence[str]) -> None:
    """Open the database and work on the run; a signal to end keeps the best plan."""
    (number,) = arguments
    set_up_logs(Config())
    brake = Brake()
    signal.signal(signal.SIGTERM, lambda *_unused: brake.pull())
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is meant for the server beside it
    store = open_store(os.environ[DATABASE])
    try:
        worker = threading.Thread(target=_work_logged, args=(store, int(number), brake))
        worker.start()
        while worker.is_alive():  # signals reach only a main thread that is not in the solver
            worker.join(BEAT_S)
    finally:
        store.close()


def _work_logged(store: Store, number: int, brake: Brake) -> None:
    with at_work_for(os.environ.get(CLUB, "")):
        work(store, number, brake, stands_back=True)


if __name__ == "__main__":
    main(sys.argv[1:])
