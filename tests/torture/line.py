"""A client's lines to the servers: plain HTTP, from network addresses that no other client has."""

from __future__ import annotations

import http.client
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import random
    from collections.abc import Mapping, Sequence

ANSWER_S = 40
A_MACHINE = 400
"""Forms from one network address; a server takes 600 in five minutes."""
FAULTS = (OSError, http.client.HTTPException)
"""What is raised where no answer comes."""


@dataclass(frozen=True, slots=True)
class Told:
    """An answer.

    Attributes:
        status: HTTP status.
        headers: Its headers.
        text: Its body.
    """

    status: int
    headers: http.client.HTTPMessage
    text: str


class Line:
    """Asks whichever server chance names.

    Args:
        number: The client's own.
        ports: Of the servers.
        chance: Chooses.
    """

    def __init__(self, number: int, ports: Sequence[int], chance: random.Random) -> None:
        self._number, self._ports, self._chance = number, ports, chance
        self._lines: dict[int, http.client.HTTPConnection] = {}
        self._sent = 0

    def ask(self, method: str, path: str, body: str = "", headers: Mapping[str, str] = {}) -> Told:
        """Send a request and wait for its answer.

        Raises:
            OSError, HTTPException: If none comes (`FAULTS`); then nobody knows what became of it.
        """
        try:
            return self._ask(method, path, body, headers)
        except FAULTS:
            self.hang_up()
            raise

    def hang_up(self) -> None:
        """End all lines; the next request begins another."""
        for line in self._lines.values():
            line.close()
        self._lines.clear()

    def _ask(self, method: str, path: str, body: str, headers: Mapping[str, str]) -> Told:
        port = self._chance.choice(self._ports)
        line = self._lines.get(port)
        if line is None:
            machine = f"127.{1 + self._number}.{1 + self._sent // A_MACHINE % 250}.1"
            line = http.client.HTTPConnection(
                "127.0.0.1", port, timeout=ANSWER_S, source_address=(machine, 0)
            )
            self._lines[port] = line
        self._sent += 1
        line.request(method, path, body or None, dict(headers))
        answer = line.getresponse()
        told = Told(answer.status, answer.headers, answer.read().decode())
        if self._sent % A_MACHINE == 0:
            self.hang_up()
        return told
