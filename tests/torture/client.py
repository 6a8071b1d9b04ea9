"""A client: it books, moves and withdraws over HTTP, and keeps a ledger of what it was told."""

from __future__ import annotations

import http.client
import random
import re
import threading
import time
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from sqlalchemy import select

from clubplanner.errors import PlannerError
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from clubplanner.store.engine import Store
    from tests.torture.club import Club

ANSWER_S = 40
PATIENCE_S = 180
"""How long a client sends a form again until somebody tells what became of it."""
PAUSE_S = 0.1
A_MACHINE = 400
"""Forms from one network address; a server takes 600 in five minutes."""
MOST_HELD = 30
DAYS = 28
STEP_MIN = 15


class Outcome(StrEnum):
    """What a client was told, in the end, of something it tried."""

    DONE = "done"
    REFUSED = "refused"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Try:
    """One line of a ledger.

    Attributes:
        mark: The words by which the records tell it.
        kind: What was tried.
        outcome: What came of it, as the client was told.
        sends: How often the form was sent.
        seconds: From the first sending to the answer.
    """

    mark: str
    kind: str
    outcome: Outcome
    sends: int
    seconds: float


@dataclass(slots=True)
class Held:
    """A booking of the client's own, as it was told."""

    number: int
    sequence: int
    place: tuple[int, datetime, int]


class Client(threading.Thread):
    """Tries one change after the other until it is told to stop, or has tried enough.

    Args:
        number: Its own.
        seed: Of its choices.
        club: What it books.
        ports: Of the servers.
        store: Where it looks which number its booking got; it changes nothing there.
        now: The present instant.
        stop: Tells it to stop.
        most: How many changes it tries at most.
    """

    def __init__(
        self,
        number: int,
        seed: int,
        club: Club,
        ports: Sequence[int],
        store: Store,
        now: datetime,
        stop: threading.Event,
        most: int,
    ) -> None:
        super().__init__(name=f"client {number}", daemon=True)
        self.ledger: list[Try] = []
        self.held: list[Held] = []
        self.fault: BaseException | None = None
        self.broken_pages = 0
        self._number, self._club, self._ports, self._store = number, club, ports, store
        self._now, self._over, self._most = now, stop, most
        self._chance = random.Random(f"{seed} {number}")  # noqa: S311 - not for secrets
        self._cookies = {"person": club.secrets[number]}
        self._token = ""
        self._lines: dict[int, http.client.HTTPConnection] = {}
        self._sent = 0

    def run(self) -> None:
        """Try changes."""
        try:
            while not self._over.is_set() and len(self.ledger) < self._most:
                self._try_something()
        except BaseException as fault:  # told by whoever joins this thread
            self.fault = fault
        finally:
            for line in self._lines.values():
                line.close()

    def _try_something(self) -> None:
        chance = self._chance.random()
        mark = f"c{self._number}-{len(self.ledger)}"
        if not self.held or (chance < 0.45 and len(self.held) < MOST_HELD):
            self._book(mark)
        elif chance < 0.75:
            self._move(mark, stale=False)
        elif chance < 0.82:
            self._move(mark, stale=True)
        else:
            self._withdraw(mark)

    def _book(self, mark: str) -> None:
        place = self._somewhere()
        is_squad = self._chance.random() < 0.4
        fields = {
            "purpose": "training" if is_squad else "hire",
            "squad": str(self._chance.choice(self._club.squads)) if is_squad else "",
            "who": "" if is_squad else "Choir",
            "note": mark,
            **_fields(place),
        }
        if self._send(mark, "book", "/desk/bookings", fields) is Outcome.DONE:
            number = self._number_of(mark)
            if number is not None:  # else it was lost, which the ledger will tell
                self.held.append(Held(number, 0, place))

    def _move(self, mark: str, *, stale: bool) -> None:
        held = self._chance.choice(self.held)
        place = self._somewhere()
        if place == held.place or (stale and held.sequence == 0):
            return
        fields = {"sequence": str(held.sequence - stale), "why": mark, **_fields(place)}
        kind = "move by an old page" if stale else "move"
        outcome = self._send(mark, kind, f"/desk/bookings/{held.number}/move", fields)
        if outcome is Outcome.DONE:
            held.sequence, held.place = held.sequence + 1, place
        elif outcome is Outcome.UNKNOWN:
            self.held.remove(held)

    def _withdraw(self, mark: str) -> None:
        held = self._chance.choice(self.held)
        self.held.remove(held)
        fields = {"sequence": str(held.sequence), "why_off": mark}
        self._send(mark, "withdraw", f"/desk/bookings/{held.number}/withdraw", fields)

    def _somewhere(self) -> tuple[int, datetime, int]:
        """Choose an area, a start and a length: half of them within a day, so that people are told.

        Nothing ends while a run may still go on.
        """
        minutes = self._chance.choice((15, 30, 45, 60))
        first = self._now.replace(minute=0, second=0, microsecond=0) + timedelta(hours=4)
        steps = 18 * 60 if self._chance.random() < 0.5 else DAYS * 24 * 60
        start = first + timedelta(minutes=STEP_MIN * self._chance.randrange(steps // STEP_MIN))
        return self._chance.choice(self._club.areas), start, minutes

    def _send(self, mark: str, kind: str, path: str, fields: Mapping[str, str]) -> Outcome:
        """Send a form until it is answered, to whichever server, and note what was answered.

        Now and then it is sent once more after that, as by an impatient finger.
        """
        token = f"{self._chance.getrandbits(96):024x}"
        began = time.monotonic()
        outcome, sends = Outcome.UNKNOWN, 0
        while outcome is Outcome.UNKNOWN and time.monotonic() - began < PATIENCE_S:
            sends += 1
            outcome = self._send_once(path, {**fields, "once": token})
            if outcome is Outcome.UNKNOWN:
                time.sleep(PAUSE_S)
        taken = time.monotonic() - began
        self.ledger.append(Try(mark, kind, outcome, sends, taken))
        if outcome is Outcome.DONE and self._chance.random() < 0.05:
            self._send_once(path, {**fields, "once": token})
        return outcome

    def _send_once(self, path: str, fields: Mapping[str, str]) -> Outcome:
        try:
            if not self._token:
                page = self._ask("GET", "/desk/evening")[1]
                found = re.search(r'name="csrf_token" value="([^"]+)"', page)
                if found is None:
                    return Outcome.UNKNOWN
                self._token = found[1]
            sent = {**fields, "csrf_token": self._token}
            status, page = self._ask("POST", path, urlencode(sent))
        except (OSError, http.client.HTTPException):
            self._hang_up()
            return Outcome.UNKNOWN
        return self._judge(status, page)

    def _judge(self, status: int, page: str) -> Outcome:
        if status == 302:
            return Outcome.DONE
        if status == 409:
            if "has been sent already" in page:
                return Outcome.DONE
            return Outcome.UNKNOWN if "still at work" in page else Outcome.REFUSED
        if status in (404, 422):
            return Outcome.REFUSED
        self.broken_pages += status == 500
        if status not in (429, 500, 503):
            raise AssertionError(f"answered {status}: {page[:2000]}")
        return Outcome.UNKNOWN

    def _ask(self, method: str, path: str, body: str = "") -> tuple[int, str]:
        port = self._chance.choice(self._ports)
        line = self._lines.get(port)
        if line is None:
            machine = f"127.{1 + self._number}.{1 + self._sent // A_MACHINE % 250}.1"
            line = http.client.HTTPConnection(
                "127.0.0.1", port, timeout=ANSWER_S, source_address=(machine, 0)
            )
            self._lines[port] = line
        self._sent += 1
        headers = {"Cookie": "; ".join(f"{k}={v}" for k, v in self._cookies.items())}
        if body:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        line.request(method, path, body or None, headers)
        answer = line.getresponse()
        page = answer.read().decode()
        for cookie in answer.headers.get_all("Set-Cookie") or ():
            name, _, value = cookie.partition(";")[0].partition("=")
            self._cookies[name] = value
        if self._sent % A_MACHINE == 0:
            self._hang_up()
        return answer.status, page

    def _hang_up(self) -> None:
        for line in self._lines.values():
            line.close()
        self._lines.clear()

    def _number_of(self, mark: str) -> int | None:
        def look() -> int | None:
            with self._store.read() as session:
                return session.scalars(select(BookingRow.id).where(BookingRow.note == mark)).first()

        number: int | None = patiently(look)
        return number


def patiently(look: Callable[[], Any], seconds: float = 60) -> Any:
    """Look again while the database is away."""
    until = time.monotonic() + seconds
    while True:
        try:
            return look()
        except PlannerError:
            if time.monotonic() > until:
                raise
            time.sleep(PAUSE_S)


def _fields(place: tuple[int, datetime, int]) -> dict[str, str]:
    area, start, minutes = place
    end = start + timedelta(minutes=minutes)
    return {
        "area": str(area),
        "date": f"{start:%Y-%m-%d}",
        "from": f"{start:%H:%M}",
        "to": f"{end:%H:%M}",
    }
