"""One run: all is begun, clients work while parts are killed, all grows quiet, all is counted."""

from __future__ import annotations

import os
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
from clubplanner.store.engine import open_store
from clubplanner.webapp.factory import real_clock
from tests.mail_server import mail_server
from tests.ports import free_port
from tests.records import address_of, drop_records, open_records
from tests.torture.client import Client, by_api, patiently
from tests.torture.club import make_club
from tests.torture.killing import TICK_S, Kills, kill_at_random
from tests.torture.ledger import Ledger
from tests.torture.post import read_post
from tests.torture.processes import office_part, postgresql, server_part, worker_part
from tests.torture.processor import processor_s
from tests.torture.verdict import Verdict, judge
from tests.torture.worker_process import settings

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.torture.ledger import Outcome
    from tests.torture.processes import Part

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
    """

    records: str = "sqlite"
    seconds: float = 60
    tries: int = 10**9
    clients: int = 24
    seed: int = 1
    mean_s: float = 10
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
        used_s: Seconds of the processor meanwhile, of all processes together.
        judged_s: How long the verdict took.
        longest_s: What a client waited for one answer at most.
        broken_answers: Answers with status 500.
    """

    verdict: Verdict
    outcomes: Counter[tuple[str, Outcome]]
    kills: dict[str, int]
    mails: tuple[int, int]
    seconds: float
    used_s: float
    judged_s: float
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
        post = read_post(box)
        errors = stack.enter_context((folder / "said").open("w+b"))
        servers = [server_part(path, n, free_port(), errors) for n in range(SERVERS)]
        offices = [office_part(path, n, free_port(), errors) for n in range(OFFICES)]
        workers = [worker_part(path, n, box.settings.port, errors) for n in range(WORKERS)]
        for child in (*servers, *offices, *workers):
            child.start()
            stack.callback(child.kill)
        for child in (*servers, *offices):
            child.wait_until_ready()
        store = stack.enter_context(closing(open_store(address_of(path))))
        stop = threading.Event()
        ledgers = [Ledger(folder / f"ledger-{n}") for n in range(plan.clients)]
        ports = [server.port for server in servers], [office.port for office in offices]
        clients = [
            Client(n, plan.seed, club, *ports, store, ledgers[n], now, stop, plan.tries)
            for n in range(plan.clients)
        ]
        began, used_s = time.monotonic(), processor_s(os.getpid())
        for client in clients:
            client.start()
        parts = [*servers, *offices, *workers, *engines]
        kill_at_random(
            Kills(plan.seed, plan.mean_s, plan.seconds, plan.least_kills),
            parts,
            lambda: not any(client.is_alive() for client in clients),
            stop,
            lambda words: say(f"{sum(one.count for one in ledgers)} tried, {words}"),
        )
        seconds = time.monotonic() - began
        while any(client.is_alive() for client in clients):  # each has an answer to wait for
            time.sleep(TICK_S)
            for part in parts:
                part.mend()
        for worker in workers:
            worker.kill()
        used_s = processor_s(os.getpid()) - used_s
        say("telling what is left")
        _tell_the_rest(path, box.settings.port)
        say("judging")
        began = time.monotonic()
        verdict = judge(store, ledgers, post)
        return Report(
            verdict,
            sum((ledger.outcomes for ledger in ledgers), Counter()),
            {part.name: part.kills for part in parts},
            (post.count, post.again),
            seconds,
            used_s,
            time.monotonic() - began,
            max(ledger.longest_s for ledger in ledgers),
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
