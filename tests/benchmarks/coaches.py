"""Two hundred coaches within a minute, while the optimiser works on a share-out.

    python -m tests.benchmarks.coaches [--records postgresql] [--coaches N] [--seconds S]

A club of as many squads, one server of the program's own. Each coach, signed in, opens the page of
a session and sends with how many the squad comes; the share-out of the stretch is worked on by a
process of its own meanwhile. Beside the times stands what the same takes before that begins.
"""

from __future__ import annotations

import argparse
import http.client
import re
import signal
import statistics
import tempfile
import threading
import time
from contextlib import ExitStack, closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from sqlalchemy import func, select

from clubplanner.domain.club.people import Role
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.share_out.runs.launching import launch_run
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.tables.turnout_tables import TurnoutRow
from clubplanner.store.upkeep.migrate import migrate
from tests.large_club import make_large_club
from tests.ports import free_port
from tests.records import make_place, open_records
from tests.torture.processes import postgresql, server_part

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

AIM_S = 0.3
A_PITCH = 10
"""Squads a pitch."""
WARM = 10
"""Coaches who come before the others, to a server that has just begun."""
THREADS = 16


@dataclass(frozen=True, slots=True)
class Coach:
    """A coach's browser, and the session that it is about."""

    secret: str
    session: int


def sign_in_coaches(store: Store, count: int) -> list[Coach]:
    """Let each squad have a coach with a signed-in browser."""
    now = datetime.now(UTC)
    with store.read() as session:
        first = (
            select(BookingRow.squad_id, func.min(BookingRow.id).label("number"))
            .where(BookingRow.starts_at > now + timedelta(days=1))
            .group_by(BookingRow.squad_id)
            .subquery()
        )
        rows = session.execute(
            select(SquadRow.key, first.c.number).join(first, first.c.squad_id == SquadRow.id)
        ).all()
    coaches = []
    for n, (key, number) in enumerate(rows[:count]):
        person = add_person(store, PersonDraft(f"Chris {n}", Role.COACH, "", (key,)), now)
        with store.write() as session:
            coaches.append(Coach(open_browser(session, person, "A browser", now), number))
    return coaches


def send_head_count(port: int, coach: Coach) -> tuple[float, float]:
    """Open the session's page and send a number; return the seconds that either took."""
    path = f"/coach/sessions/{coach.session}"
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    with closing(line):
        began = time.monotonic()
        line.request("GET", path, headers={"Cookie": f"person={coach.secret}"})
        answer = line.getresponse()
        page = answer.read().decode()
        opened = time.monotonic()
        token = re.search(r'name="csrf_token" value="([^"]+)"', page)
        once = re.search(r'name="once" value="([^"]+)"', page)
        assert token is not None, f"{answer.status} {page[:500]}"
        assert once is not None
        form = (answer.headers["Set-Cookie"] or "").partition(";")[0]
        headers = {
            "Cookie": f"person={coach.secret}; {form}",
            "Content-Type": "application/x-www-form-urlencoded",
        }
        fields = {"players": "11", "keepers": "1", "csrf_token": token[1], "once": once[1]}
        line.request("POST", f"{path}/head-count", urlencode(fields), headers)
        answer = line.getresponse()
        answer.read()
        assert answer.status == 302, answer.status
        return opened - began, time.monotonic() - opened


def send_all(port: int, coaches: list[Coach], seconds: float) -> list[tuple[float, float]]:
    """Let all send within so many seconds, each at its moment, whether or not others wait."""
    found: list[tuple[float, float]] = []
    queue = list(enumerate(coaches))[::-1]
    lock = threading.Lock()
    began = time.monotonic()

    def work() -> None:
        while True:
            with lock:
                if not queue:
                    return
                number, coach = queue.pop()
            time.sleep(max(0.0, began + number * seconds / len(coaches) - time.monotonic()))
            taken = send_head_count(port, coach)
            with lock:
                found.append(taken)

    threads = [threading.Thread(target=work) for _ in range(THREADS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return found


def show(words: str, found: list[tuple[float, float]], asked: int, noted: int) -> None:
    """Print what a coach waited."""
    for what, taken in zip(("page", "form"), zip(*found, strict=True), strict=True):
        ordered = sorted(taken)
        middle = statistics.median(ordered)
        mark = "!" if middle > AIM_S else " "
        print(f"{mark} {words}, {what}: median {middle:.3f} s, nine of ten "
              f"{ordered[len(ordered) * 9 // 10]:.2f} s, longest {ordered[-1]:.2f} s")  # fmt: skip
    print(f"{'!' if noted < asked else ' '} {words}: sent {asked}, answered {len(found)}, "
          f"kept {noted}")  # fmt: skip


def main() -> None:
    """Measure as told."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--records", choices=["sqlite", "postgresql"], default="sqlite")
    parser.add_argument("--coaches", type=int, default=200)
    parser.add_argument("--seconds", type=float, default=60)
    wanted = parser.parse_args()
    with ExitStack() as stack:
        if wanted.records == "postgresql":
            stack.enter_context(postgresql())
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        path = folder / "club.sqlite"
        make_place(path)
        store = stack.enter_context(closing(open_records(path)))
        migrate(store)
        make_large_club(store, wanted.coaches, max(1, wanted.coaches // A_PITCH), 30)
        coaches = sign_in_coaches(store, wanted.coaches)
        errors = stack.enter_context((folder / "said").open("w+b"))
        server = server_part(path, 0, free_port(), errors)
        server.start()
        stack.callback(server.kill)
        server.wait_until_ready()
        send_all(server.port, coaches[:WARM], 1)
        alone = send_all(server.port, coaches[: len(coaches) // 4], wanted.seconds / 4)
        show("alone", alone, len(coaches) // 4, count_noted(store))
        optimiser = launch_run(store, 1)
        try:
            found = send_all(server.port, coaches, wanted.seconds)
            is_working = optimiser.poll() is None
            show("beside a share-out", found, len(coaches), count_noted(store))
            print(f"  the optimiser was {'' if is_working else 'no longer '}at work at the end")
        finally:
            optimiser.send_signal(signal.SIGTERM)
            optimiser.wait()


def count_noted(store: Store) -> int:
    """Return how many head counts the records have."""
    with store.read() as session:
        return session.scalar(select(func.count()).select_from(TurnoutRow)) or 0


if __name__ == "__main__":
    main()
