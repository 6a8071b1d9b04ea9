"""The third door by which clients change things: an office's line, with nothing before services.

Nobody claims a change there. So of one that was not answered the records are asked what became of
it, as far as the disk has them, before and after it is sent again: nobody else changes a client's
bookings, and one that stands cannot be booked a second time.
"""

from __future__ import annotations

import json
import socket
from typing import TYPE_CHECKING, Any

from tests.torture.doors import Made
from tests.torture.ledger import Outcome
from tests.torture.line import ANSWER_S, FAULTS

if TYPE_CHECKING:
    import random
    from collections.abc import Callable, Sequence

    from tests.torture.doors import Change


class OfficeDoor:
    """Lines to the offices.

    Args:
        ports: Of the offices.
        chance: Chooses among them.
        look: Returns the number of the booking that a change is of, if the change is kept; None if
            it is not.
    """

    name = " in an office"

    def __init__(
        self,
        ports: Sequence[int],
        chance: random.Random,
        look: Callable[[Change], int | None],
    ) -> None:
        self.broken = 0
        self.said = ""
        self.made: Made | None = None
        self._ports, self._chance, self._look = ports, chance, look
        self._lines: dict[int, socket.socket] = {}
        self._sent = ""

    def send(self, change: Change) -> Outcome:
        """Send the change once, after a look where it was sent before."""
        is_again, self._sent = change.key == self._sent, change.key
        if is_again and self._is_kept(change):
            return Outcome.DONE
        try:
            answer = self._ask(_told(change))
        except FAULTS as fault:
            self.said = type(fault).__name__
            self.hang_up()
            return Outcome.UNKNOWN
        self.made = Made(answer["number"]) if "number" in answer else None
        self.broken += answer.get("is_broken", False)
        outcome = Outcome(answer["outcome"])
        self.said = answer.get("words", outcome)
        if is_again and outcome is Outcome.REFUSED and self._is_kept(change):
            return Outcome.DONE  # the one before stood in its way
        return outcome

    def hang_up(self) -> None:
        """End all lines; the next change begins another."""
        for line in self._lines.values():
            line.close()
        self._lines.clear()

    def _is_kept(self, change: Change) -> bool:
        number = self._look(change)
        self.made = None if number is None else Made(number)
        return number is not None

    def _ask(self, told: dict[str, Any]) -> dict[str, Any]:
        port = self._chance.choice(self._ports)
        line = self._lines.get(port)
        if line is None:
            line = socket.create_connection(("127.0.0.1", port), timeout=ANSWER_S)
            line.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            self._lines[port] = line
        line.sendall(json.dumps(told).encode() + b"\n")
        taken = b""
        while not taken.endswith(b"\n"):
            part = line.recv(65536)
            if not part:
                raise ConnectionResetError
            taken += part
        answer: dict[str, Any] = json.loads(taken)
        return answer


def _told(change: Change) -> dict[str, Any]:
    told: dict[str, Any] = {"kind": change.kind, "mark": change.mark, "squad": change.squad}
    if change.at is not None:
        starts, ends = (int(each.timestamp()) for each in (change.at.start, change.at.end))
        told |= {"area": change.at.area, "starts": starts, "ends": ends}
    if change.held is not None:
        sequence = change.held.sequence - change.is_stale
        told |= {"number": change.held.number, "sequence": sequence}
    return told
