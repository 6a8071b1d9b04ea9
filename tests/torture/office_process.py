"""An office: a process that changes things by the program's services, as told over a line.

No page, form or token stands between a client and the services here, so that as many changes as
possible meet each other in the records: several clients of one process share transactions, and two
processes take turns. Each change comes as a line of JSON and is answered by one.
"""

from __future__ import annotations

import json
import socketserver
from contextlib import closing
from datetime import UTC, datetime
from traceback import print_exc
from typing import TYPE_CHECKING, Any

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import TimeRange
from clubplanner.errors import PlannerError, StoreError
from clubplanner.services.evening.bookings import add_booking, move_booking, withdraw_booking
from clubplanner.services.rows.bookings.booking_rows import BookingWish
from clubplanner.store.engine import open_store
from clubplanner.webapp.factory import real_clock
from tests.torture.ledger import Outcome

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.store.engine import Store


def main(arguments: Sequence[str]) -> None:
    """Answer on a port until killed: the records' address, and the port."""
    address, port = arguments
    with closing(open_store(address)) as store, _Office(store, int(port)) as office:
        office.serve_forever()


class _Office(socketserver.ThreadingTCPServer):
    allow_reuse_address = True
    daemon_threads = True

    def __init__(self, store: Store, port: int) -> None:
        self.store = store
        super().__init__(("127.0.0.1", port), _Lines)


class _Lines(socketserver.StreamRequestHandler):
    """One client's line."""

    disable_nagle_algorithm = True
    server: _Office

    def handle(self) -> None:
        """Do one change after the other."""
        for line in self.rfile:
            answer = _answer(self.server.store.acting_for("an office"), json.loads(line))
            self.wfile.write(json.dumps(answer).encode() + b"\n")


def _answer(store: Store, change: dict[str, Any]) -> dict[str, Any]:
    try:
        return {"outcome": Outcome.DONE, "number": _do(store, change)}
    except StoreError as fault:  # the database is away or busy, or may have lost it
        return {"outcome": Outcome.UNKNOWN, "words": type(fault).__name__}
    except PlannerError as fault:
        return {"outcome": Outcome.REFUSED, "words": str(fault)}
    except Exception:
        print_exc()
        return {"outcome": Outcome.UNKNOWN, "is_broken": True}


def _do(store: Store, change: dict[str, Any]) -> int:
    now, mark = real_clock(), change["mark"]
    if change["kind"] == "withdraw":
        withdraw_booking(store, change["number"], change["sequence"], now, why=mark)
        return int(change["number"])
    during = TimeRange(
        datetime.fromtimestamp(change["starts"], UTC), datetime.fromtimestamp(change["ends"], UTC)
    )
    area, squad = change["area"], change["squad"]
    if change["kind"] == "move":
        number, sequence = change["number"], change["sequence"]
        return move_booking(store, number, sequence, area, during, now, why=mark).number
    purpose = Purpose.HIRE if squad is None else Purpose.TRAINING
    holder = "Choir" if squad is None else ""
    wish = BookingWish(area, during, purpose, squad, holder, mark, is_fixed=True)
    return add_booking(store, wish, now).number
