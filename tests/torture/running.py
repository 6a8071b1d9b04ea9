"""One run: all is begun, clients work while parts are killed, all grows quiet, all is counted."""

from __future__ import annotations

import tempfile
import threading
import time
from collections import Counter
from contextlib import ExitStack, closing
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from clubplanner.services.mails.delivering import Delivery, deliver
from clubplanner.webapp.factory import real_clock
from tests.mail_server import mail_server
from tests.ports import free_port
from tests.records import drop_records, open_records
from tests.torture.client import Client, by_api, patiently
from tests.torture.club import make_club
from tests.torture.killing import TICK_S, Kills, kill_at_random
from tests.torture.processes import postgresql, server_part, worker_part
from tests.torture.verdict import Verdict, judge
from tests.torture.worker_process import settings

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.torture.doors import Outcome
    from tests.torture.processes import Part

SERVERS, WORKERS = 2, 2


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
    """

    records: str = "sqlite"
    seconds: float = 60
    tries: int = 10**9
    clients: int = 8
    seed: int = 1
    mean_s: float = 3
    least_kills: int = 0


@dataclass(slots=True)
class Report:
    """What came of a run.

    Attributes:
        verdict: What went wrong.
        outcomes: How many changes of each kind came to what.
        kills: How often each part was killed.
        mails: How many arrived, and how many of them again, after a kill.
        seconds: For how long clients worked.
        longest_s: What a client waited for one answer at most.
        broken_answers: Answers with status 500.
    """

    verdict: Verdict
    outcomes: Counter[tuple[str, str]]
    kills: dict[str, int]
    mails: tuple[int, int]
    seconds: float
    longest_s: float
    broken_answers: int
    faults: list[BaseException] = field(default_factory=list)

    @property
    def tries(self) -> int:
        """How many changes were tried."""
        return self.outcomes.total()

    def count(self, outcome: Outcome) -> int:
        """Return how many changes came to an outcome."""
        return sum(n for (_kind, came), n in self.outcomes.items() if came == outcome)


def torture(plan: Plan, say: Callable[[str], object] = lambda _words: None) -> Report:
    """Run a plan and return what came of it.

    Args:
        plan: What to do.
        say: Is told how far it is, now and then.
    """
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        engines: list[Part] = []
        if plan.records == "postgresql":
            engines = stack.enter_context(postgresql())
        path = folder / "club.sqlite"
        now = datetime.now(UTC)
        club = make_club(path, plan.clients, now, by_api)
        stack.callback(drop_records, path)
        box = stack.enter_context(mail_server())
        errors = stack.enter_context((folder / "said").open("w+b"))
        servers = [server_part(path, n, free_port(), errors) for n in range(SERVERS)]
        workers = [worker_part(path, n, box.settings.port, errors) for n in range(WORKERS)]
        for child in (*servers, *workers):
            child.start()
            stack.callback(child.kill)
        for server in servers:
            server.wait_until_ready()
        store = stack.enter_context(closing(open_records(path)))
        stop = threading.Event()
        ports = [server.port for server in servers]
        clients = [
            Client(n, plan.seed, club, ports, store, now, stop, plan.tries)
            for n in range(plan.clients)
        ]
        began = time.monotonic()
        for client in clients:
            client.start()
        parts = [*servers, *workers, *engines]
        kill_at_random(
            Kills(plan.seed, plan.mean_s, plan.seconds, plan.least_kills),
            parts,
            lambda: not any(client.is_alive() for client in clients),
            stop,
            lambda words: say(f"{sum(len(c.ledger) for c in clients)} tried, {words}"),
        )
        seconds = time.monotonic() - began
        while any(client.is_alive() for client in clients):  # each has an answer to wait for
            time.sleep(TICK_S)
            for part in parts:
                part.mend()
        for worker in workers:
            worker.kill()
        _tell_the_rest(path, box.settings.port)
        ledgers = [client.ledger for client in clients]
        verdict = judge(store, ledgers, box.taken)
        arrived = {mail["Message-ID"] for mail in box.taken}
        return Report(
            verdict,
            Counter((one.kind, one.outcome) for ledger in ledgers for one in ledger),
            {part.name: part.kills for part in parts},
            (len(box.taken), len(box.taken) - len(arrived)),
            seconds,
            max((one.seconds for ledger in ledgers for one in ledger), default=0.0),
            sum(client.broken_answers for client in clients),
            [client.fault for client in clients if client.fault is not None],
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
