"""One run: all is begun, clients work while parts are killed, all grows quiet, all is counted."""

from __future__ import annotations

import os
import tempfile
import threading
import time
from collections import Counter
from contextlib import ExitStack, closing
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from clubplanner.services.mails.sending.delivering import Delivery, deliver
from clubplanner.store.engine import open_store
from clubplanner.webapp.factory import real_clock
from tests.mail_server import mail_server
from tests.ports import free_port
from tests.records import address_of, drop_records, open_records
from tests.torture.client import AHEAD_H, Client, by_api, patiently
from tests.torture.club import make_club
from tests.torture.kept import Go, open_run
from tests.torture.killing import TICK_S, Kills, kill_at_random
from tests.torture.ledger import Ledger
from tests.torture.post import read_post
from tests.torture.processes import office_part, postgresql, server_part, worker_part
from tests.torture.processor import processor_s
from tests.torture.verdict import Verdict, judge
from tests.torture.worker_process import settings

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from clubplanner.store.engine import Store
    from tests.torture.kept import Run
    from tests.torture.ledger import Outcome
    from tests.torture.processes import Child, Office, Part

SERVERS, OFFICES, WORKERS = 2, 2, 2


@dataclass(frozen=True, slots=True)
class Plan:
    """What a run is to be.

    Attributes:
        records: "sqlite" or "postgresql".
        seconds: How long clients work at most.
        tries: How many changes each client tries at most.
        clients: How many there are.
        seed: Of what they try and of what is killed when.
        mean_s: Seconds from when all is up to the next kill, about.
        least_kills: How many there are at least, however soon all have tried.
        folder: Where all is kept, so that it can be gone on with; None for a run that is not.
    """

    records: str = "sqlite"
    seconds: float = 60
    tries: int = 10**9
    clients: int = 24
    seed: int = 1
    mean_s: float = 10
    least_kills: int = 0
    folder: Path | None = None


@dataclass(slots=True)
class Report:
    """What came of a run.

    All of it is since the run's beginning, but for what the last go took.

    Attributes:
        verdict: What went wrong.
        outcomes: How many changes of each kind came to what.
        goes: What was measured of each go.
        mails: How many arrived, and how many of them again, after a kill.
        judged_s: How long the verdict took.
        longest_s: What a client waited for one answer at most.
        slowest: The same of the last go, and what it waited for.
    """

    verdict: Verdict
    outcomes: Counter[tuple[str, Outcome]]
    goes: list[Go]
    mails: tuple[int, int]
    judged_s: float
    longest_s: float
    slowest: tuple[float, str]
    faults: list[BaseException] = field(default_factory=list)

    @property
    def tries(self) -> int:
        """How many changes were tried."""
        return self.outcomes.total()

    @property
    def kills(self) -> Counter[str]:
        """How often each part was killed."""
        return sum((Counter(go.kills) for go in self.goes), Counter())

    def count(self, outcome: Outcome) -> int:
        """Return how many changes came to an outcome."""
        return sum(n for (_kind, came), n in self.outcomes.items() if came == outcome)


def torture(
    plan: Plan,
    say: Callable[[str], object] = lambda _words: None,
    stop: threading.Event | None = None,
) -> Report:
    """Run a plan and return what came of it.

    Args:
        plan: What to do.
        say: Is told how far it is, now and then.
        stop: Who sets it ends the go before its time; all is judged all the same.

    Raises:
        NotKeptError: If the plan's folder has no run that could be gone on with so.
    """
    with ExitStack() as stack:
        folder = plan.folder or Path(stack.enter_context(tempfile.TemporaryDirectory()))
        run, post = open_run(folder, plan.records, plan.clients, plan.seed)
        engines: list[Part] = []
        if plan.records == "postgresql":
            engines = stack.enter_context(postgresql(plan.folder and folder / "server"))
        path = folder / "club.sqlite"
        now = datetime.now(UTC)
        if run.club is None:
            run.club = make_club(path, plan.clients, now, by_api)
        if plan.folder is None:
            stack.callback(drop_records, path)
        run.is_at_work = True
        run.save(folder, post)
        box = stack.enter_context(mail_server())
        read_post(box, post)
        parts = _begin_parts(stack, path, folder / "said", box.settings.port)
        store = stack.enter_context(closing(open_store(address_of(path))))
        ledgers = [Ledger(folder / f"ledger-{n}") for n in range(plan.clients)]
        crowd = _Crowd(run, ledgers, store, now, stop or threading.Event(), plan.tries)
        go = crowd.work(parts, engines, plan, say)
        say("telling what is left")
        _tell_the_rest(path, box.settings.port)
        say("judging")
        began = time.monotonic()
        verdict = judge(store, ledgers, post)
        run.goes.append(go)
        run.held = [client.held for client in crowd.clients]
        run.is_at_work = any(client.fault is not None for client in crowd.clients)
        run.save(folder, post)
        return Report(
            verdict,
            sum((ledger.outcomes for ledger in ledgers), Counter()),
            run.goes,
            (post.count, post.again),
            time.monotonic() - began,
            max(ledger.longest_s for ledger in ledgers),
            max(client.slowest for client in crowd.clients),
            [client.fault for client in crowd.clients if client.fault is not None],
        )


@dataclass(frozen=True, slots=True)
class _Parts:
    """The processes of the program."""

    servers: list[Child]
    offices: list[Office]
    workers: list[Child]

    def all(self) -> list[Child]:
        return [*self.servers, *self.offices, *self.workers]


def _begin_parts(stack: ExitStack, path: Path, said: Path, mail_port: int) -> _Parts:
    """Start them and wait until they answer; they are killed with the stack."""
    errors = stack.enter_context(said.open("a+b"))
    parts = _Parts(
        [server_part(path, n, free_port(), errors) for n in range(SERVERS)],
        [office_part(path, n, free_port(), errors) for n in range(OFFICES)],
        [worker_part(path, n, mail_port, errors) for n in range(WORKERS)],
    )
    for child in parts.all():
        child.start()
        stack.callback(child.kill)
    for child in (*parts.servers, *parts.offices):
        child.wait_until_ready()
    return parts


class _Crowd:
    """The clients of a run, each with its ledger and what it held when the last go ended."""

    def __init__(
        self,
        run: Run,
        ledgers: Sequence[Ledger],
        store: Store,
        now: datetime,
        stop: threading.Event,
        tries: int,
    ) -> None:
        self.clients: list[Client] = []
        self._run, self._ledgers, self._store = run, ledgers, store
        self._now, self._stop, self._tries = now, stop, tries

    def work(
        self, parts: _Parts, engines: Sequence[Part], plan: Plan, say: Callable[[str], object]
    ) -> Go:
        """Let clients work while parts are killed, until each has its last answer."""
        run, ledgers = self._run, self._ledgers
        assert run.club is not None
        ports = [one.port for one in parts.servers], [one.port for one in parts.offices]
        since = self._now + timedelta(hours=AHEAD_H)
        before = sum(ledger.count for ledger in ledgers)
        self.clients = [
            Client(n, run.seed_of_go, run.club, *ports, self._store, ledgers[n], self._now,
                   self._stop, ledgers[n].count + self._tries, run.held_by(n, since))
            for n in range(plan.clients)
        ]  # fmt: skip
        began, used_s = time.monotonic(), processor_s(os.getpid())
        for client in self.clients:
            client.start()
        mortal = [*parts.all(), *engines]
        kill_at_random(
            Kills(run.seed_of_go, plan.mean_s, plan.seconds, plan.least_kills),
            mortal,
            lambda: not any(client.is_alive() for client in self.clients),
            self._stop,
            lambda words: say(f"{sum(one.count for one in ledgers)} tried, {words}"),
        )
        seconds = time.monotonic() - began
        while any(client.is_alive() for client in self.clients):  # each has an answer to wait for
            time.sleep(TICK_S)
            for part in mortal:
                part.mend()
        for worker in parts.workers:
            worker.kill()
        return Go(
            seconds,
            processor_s(os.getpid()) - used_s,
            sum(ledger.count for ledger in ledgers) - before,
            {part.name: part.kills for part in mortal},
            sum(client.broken_answers for client in self.clients),
        )


def _tell_the_rest(path: Path, mail_port: int) -> None:
    """Deliver what the workers left, by a worker that nobody kills: until nothing is left."""
    store, config = open_records(path), settings(mail_port)
    with closing(store):
        last = datetime.now(UTC)
        for minutes in (0, 3, 6):
            clock = _later(last, minutes)

            def deliver_all(clock: Callable[[], datetime] = clock) -> Delivery:
                return deliver(store, config, clock, at_once=True)

            while (done := patiently(deliver_all)) and (done.made or done.sent):
                pass


def _later(now: datetime, minutes: int) -> Callable[[], datetime]:
    """Return a clock that is ahead: what a killed worker had in hand may be taken up by then."""
    if minutes == 0:
        return real_clock
    return lambda: datetime.fromtimestamp(now.timestamp() + 60 * minutes, UTC)
