"""What each page of a served club costs: time, bytes, statements sent to the database."""

from __future__ import annotations

import statistics
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.webapp.base.programs import ROOT
from clubplanner.webapp.base.security import ANYBODY, roles_of
from tests.browser.screenshots import NOT_PAGES, STRANGER, example_address
from tests.large_club import noting_statements

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator

    from clubplanner.store.engine import Store
    from tests.large_club import LargeClub


@dataclass(frozen=True, slots=True)
class Cost:
    """What a page costs.

    Attributes:
        who: A role, or a stranger.
        rule: The route.
        status: HTTP status.
        size: Bytes of its body, uncompressed.
        statements: Sent to the database when it was asked for a second time.
        seconds: Median time of an answer; zero where none was timed.
    """

    who: str
    rule: str
    status: int
    size: int
    statements: int
    seconds: float


READS_ALL = frozenset(
    {"/me/kept", "/desk/people/<int:number>/kept", "/desk/season/hires/<int:number>/kept"}
)
"""Pages that look for somebody in every text of the records, on purpose and seldom."""


def page_costs(
    club: LargeClub, store: Store, times: int = 0, *, without: Collection[str] = ()
) -> Iterator[Cost]:
    """Ask for every page as everybody who may open it; those without an example are left out.

    Args:
        club: The served club.
        store: Its database.
        times: How often each is timed; by default not at all.
        without: Rules of pages that are left out.
    """
    for rule in club.app.url_map.iter_rules():
        if "GET" not in (rule.methods or ()) or rule.rule.endswith(NOT_PAGES):
            continue
        if rule.endpoint == "static" or rule.rule.startswith(ROOT) or rule.rule in without:
            continue
        try:
            path = example_address(rule.rule, club.values)
        except KeyError:
            continue
        roles = roles_of(club.app, rule.endpoint)
        there = {role.value for role in roles} & set(club.secrets)  # no club within it has its own
        for who in [STRANGER] if roles == ANYBODY else sorted(there):
            client = club.app.test_client()
            if who != STRANGER:
                client.set_cookie("person", club.secrets[who])
            client.get(path)
            with noting_statements(store) as sent:
                answer = client.get(path)
            taken = []
            for _ in range(times):
                started = time.perf_counter()
                client.get(path)
                taken.append(time.perf_counter() - started)
            size = len(answer.data)
            middle = statistics.median(taken or [0.0])
            yield Cost(who, rule.rule, answer.status_code, size, len(sent), middle)
