"""Rounds of requests, each drawn from its number."""

from __future__ import annotations

import shutil
import socket
from contextlib import contextmanager
from datetime import UTC, datetime
from random import Random
from typing import TYPE_CHECKING
from unittest.mock import patch

from tests.builders import NOW
from tests.fuzz.club import NOBODY, WHO, Clock, make_club, open_club
from tests.fuzz.judging import judge
from tests.fuzz.pages import gather_offers
from tests.fuzz.requests import draw_attack
from tests.fuzz.served_club import Site

if TYPE_CHECKING:
    from collections import Counter
    from collections.abc import Iterator
    from pathlib import Path

    from tests.fuzz.judging import Finding
    from tests.fuzz.pages import Offers

EACH = 200
"""Requests of a round."""
CLOCKS = (
    *(NOW, NOW, NOW, NOW),
    datetime(2026, 11, 25, 18, 10, 3, 1, tzinfo=UTC),  # while people train
    datetime(2026, 11, 17, 23, 59, 59, 999_999, tzinfo=UTC),
    datetime(2026, 12, 9, 12, tzinfo=UTC),  # within a break
)
"""The instants at which rounds take place."""


def open_site(folder: Path) -> tuple[Site, Offers]:
    """Make a club in a folder, serve it, and gather what it offers."""
    source, used = folder / "made.sqlite", folder / "used.sqlite"
    keys = make_club(source)
    shutil.copy(source, used)
    clock = Clock()
    app, store = open_club(used, clock)
    site = Site(app, store, keys, clock, source)
    starts = {who: keys.paths if who == NOBODY else () for who in WHO}
    return site, gather_offers(app, site.ask, starts)


def run_round(
    site: Site,
    offers: Offers,
    number: int,
    statuses: Counter[int],
    each: int = EACH,
    only: str | None = None,
) -> Iterator[Finding]:
    """Send the requests of a round, as everybody or one alone, and give what may not be."""
    draw = Random(number)  # noqa: S311 - nothing secret is drawn
    site.clock.now = draw.choice(CLOCKS)
    site.begin_round()
    with without_network():
        for _ in range(each):
            attack = draw_attack(draw, site.app, offers, site.keys, only)
            answer = site.send(attack)
            statuses[answer.status] += 1
            yield from judge(site, attack, answer)


@contextmanager
def without_network() -> Iterator[None]:
    """Let names lead to this computer or to none: requests ask for calendars of others."""

    def found(host: str, port: object, *_args: object, **_more: object) -> list[object]:
        if host in ("localhost", "127.0.0.1", "0"):
            return [(socket.AF_INET, socket.SOCK_STREAM, 6, "", ("127.0.0.1", port))]
        raise socket.gaierror(socket.EAI_NONAME, "no such name")

    with patch.object(socket, "getaddrinfo", found):
        yield
