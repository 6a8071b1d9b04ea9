"""Going wherever the links and looking-forms of a place lead, as somebody signed in."""

from __future__ import annotations

from collections import Counter, deque
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from urllib.parse import urlencode, urljoin, urlsplit

from werkzeug.exceptions import HTTPException

from tests.use.files import open_file

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from werkzeug.routing import MapAdapter

    from tests.use.visitor import Answer, Visitor

MOST_A_ROUTE = 3
"""Addresses of one route that are looked at; pages of the same kind mostly repeat."""


@dataclass
class Walk:
    """What a walk came by.

    Attributes:
        routes: Rules that answered with 200, by how often.
        faults: What was wrong, an entry each.
        kinds: Kinds of content, by how often.
    """

    routes: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    kinds: Counter[str] = field(default_factory=Counter)


def walk(
    visitor: Visitor,
    start: Iterable[str],
    addresses: MapAdapter,
    *,
    is_past: bool = False,
    most: int = MOST_A_ROUTE,
) -> Walk:
    """Follow every link and send every form that only looks, a few of each route.

    Args:
        visitor: Who walks.
        start: Paths to begin at.
        addresses: The app's rules, to tell which route an address belongs to.
        is_past: Whether what is there may be over, so that a link may be answered by words of why
            it cannot be any more (422).
        most: How many addresses of one route, with and without a query each, are looked at.
    """
    seen: Counter[tuple[str, bool]] = Counter()
    done = Walk()
    known: set[str] = set()
    waiting = deque((path, False) for path in start)
    while waiting:
        path, is_form = waiting.popleft()
        address = urljoin(visitor.address, path)
        parts = urlsplit(address)
        is_ours = parts.netloc == urlsplit(visitor.address).netloc and parts.scheme == "http"
        if address in known or not is_ours:
            continue
        known.add(address)
        kind = rule_of(addresses, parts.path), bool(parts.query)
        seen[kind] += 1
        if seen[kind] > most:
            continue
        answer = visitor.get(address)
        _look(answer, done, addresses, (200, 422) if is_form or is_past else (200,))
        if answer.kind == "text/html":
            waiting.extend(_ways_on(answer))
    return done


def _ways_on(answer: Answer) -> Iterator[tuple[str, bool]]:
    """Give where a page leads, and whether by a form: those that only look, as they stand."""
    page = answer.page()
    for link in page.links:
        yield urljoin(answer.address, link), False
    for form in page.forms:
        if form.method == "get":
            target = urljoin(answer.address, form.action).partition("?")[0]
            yield f"{target}?{urlencode(form.values)}", True


def _look(answer: Answer, done: Walk, addresses: MapAdapter, good: tuple[int, ...]) -> None:
    """Note which route answered, and what is wrong with the answer.

    A form that lacks something to look by answers 422, with a page that says what.
    """
    if answer.status not in good:
        done.faults.append(f"{answer.asked}: {answer.status}")
        return
    done.routes[rule_of(addresses, urlsplit(answer.address).path)] += 1
    done.kinds[answer.kind] += 1
    try:
        open_file(answer)
    except Exception as fault:  # whatever a reader says is a fault of the file
        done.faults.append(f"{answer.asked}: {fault!r}")


def rule_of(addresses: MapAdapter, path: str) -> str:
    """Return the rule that a path belongs to; "" for none."""
    try:
        rule, _values = addresses.match(path, method="GET", return_rule=True)
    except HTTPException:
        return ""
    return rule.rule
