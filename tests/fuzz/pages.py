"""What a served club offers: its addresses, its forms with all their fields, its questions.

Gathered by following links as everybody, and from the names that the views ask for.
"""

from __future__ import annotations

import inspect
import re
from collections import defaultdict
from dataclasses import dataclass, field
from functools import partial
from html.parser import HTMLParser
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl, urlsplit

from werkzeug.exceptions import HTTPException

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from flask import Flask

MOST_PAGES = 2
"""Pages of one route that are looked at as one person."""
METHODS = ("GET", "POST")
_NAMES = re.compile(r"\.(?:get|getlist|text|number|day|minute|pop)\(\s*\"([\w-]+)\"")


@dataclass(frozen=True, slots=True)
class Field:
    """A field of a form.

    Attributes:
        name: As it is sent.
        kind: Type of the input; "select", "textarea" or "button" for others.
        values: What it can be; the first is what it is when nobody changes it.
    """

    name: str
    kind: str
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PageForm:
    """A form of a page.

    Attributes:
        path: Where it goes, without a question.
        method: "GET" or "POST".
        fields: Its fields in order.
    """

    path: str
    method: str
    fields: tuple[Field, ...]


@dataclass(frozen=True, slots=True)
class Offers:
    """What a club offers.

    Attributes:
        routes: Method, rule and endpoint of every route.
        paths: Addresses that were found, by rule.
        forms: Forms by method and rule.
        questions: Names and values in addresses, by rule.
        names: Further names that views ask for, by rule.
    """

    routes: tuple[tuple[str, str, str], ...]
    paths: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    forms: dict[tuple[str, str], list[PageForm]] = field(default_factory=lambda: defaultdict(list))
    questions: dict[str, dict[str, str]] = field(default_factory=lambda: defaultdict(dict))
    names: dict[str, tuple[str, ...]] = field(default_factory=dict)


def gather_offers(
    app: Flask, ask: Callable[[str, str], str], starts: Mapping[str, Iterable[str]]
) -> Offers:
    """Follow every link as everybody.

    Args:
        app: The club's app.
        ask: From who and an address to the page; blank where there is none.
        starts: Where everybody begins besides the front door.
    """
    routes = tuple(
        sorted(
            (method, rule.rule, rule.endpoint)
            for rule in app.url_map.iter_rules()
            for method in (rule.methods or set()) & set(METHODS)
        )
    )
    offers = Offers(routes)
    for _method, rule, endpoint in routes:
        offers.names[rule] = _names_of(app, endpoint)
    for who, paths in starts.items():
        _follow(app, offers, partial(ask, who), ["/", *paths])
    return offers


def _names_of(app: Flask, endpoint: str) -> tuple[str, ...]:
    """Return the names that the module of a view asks forms and questions for."""
    module = inspect.getmodule(inspect.unwrap(app.view_functions[endpoint]))
    source = "" if module is None else inspect.getsource(module)
    return tuple(sorted(set(_NAMES.findall(source))))


def _follow(app: Flask, offers: Offers, ask: Callable[[str], str], starts: list[str]) -> None:
    waiting, seen, looked_at = list(starts), set(starts), defaultdict[str, int](int)
    while waiting:
        address = waiting.pop(0)
        rule = rule_of(app, "GET", address)
        if rule is None or looked_at[rule] >= MOST_PAGES:
            continue
        looked_at[rule] += 1
        page = _Page(address.partition("?")[0])
        page.feed(ask(address))
        for form in page.forms:
            _keep_form(app, offers, form)
        for link in page.links:
            _keep_link(app, offers, link)
            if link not in seen:
                seen.add(link)
                waiting.append(link)


def _keep_form(app: Flask, offers: Offers, form: PageForm) -> None:
    rule = rule_of(app, form.method, form.path)
    if rule is None:
        return
    known = offers.forms[form.method, rule]
    if len(known) < 6 and form not in known:
        known.append(form)
    _keep_link(app, offers, form.path, form.method)


def _keep_link(app: Flask, offers: Offers, link: str, method: str = "GET") -> None:
    rule = rule_of(app, method, link)
    if rule is None:
        return
    parts = urlsplit(link)
    if parts.path not in offers.paths[rule] and len(offers.paths[rule]) < 20:
        offers.paths[rule].append(parts.path)
    offers.questions[rule].update(parse_qsl(parts.query, keep_blank_values=True))


def rule_of(app: Flask, method: str, address: str) -> str | None:
    """Return the rule that an address of ours follows; None for others."""
    parts = urlsplit(address)
    if parts.scheme or parts.netloc:
        return None
    try:
        rule, _values = app.url_map.bind("").match(parts.path, method, return_rule=True)
    except HTTPException:
        return None
    return str(rule.rule)


class _Page(HTMLParser):
    """Reads the links and forms of a page."""

    def __init__(self, path: str) -> None:
        super().__init__()
        self._path = path
        self.links: list[str] = []
        self.forms: list[PageForm] = []
        self._form: tuple[str, str] | None = None
        self._fields: list[Field] = []
        self._elsewhere: list[str] = []
        self._select: tuple[str, list[str]] | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Look at a tag."""
        found = {name: value or "" for name, value in attrs}
        if tag in ("a", "img", "link") and (where := found.get("href") or found.get("src")):
            self.links.append(where.partition("#")[0])
        elif tag == "form":
            self._form = (found.get("action") or self._path, found.get("method", "get").upper())
            self._fields = []
        elif tag == "select" and "name" in found:
            self._select = (found["name"], [])
        elif tag == "option" and self._select is not None:
            at = 0 if "selected" in found else len(self._select[1])
            self._select[1].insert(at, found.get("value", ""))
        elif tag in ("input", "textarea", "button") and found.get("name"):
            kind = found.get("type", "text") if tag == "input" else tag
            self._fields.append(Field(found["name"], kind, (found.get("value", ""),)))
        if "formaction" in found and self._form is not None:
            self._elsewhere.append(found["formaction"])

    def handle_endtag(self, tag: str) -> None:
        """Close a list or a form."""
        if tag == "select" and self._select is not None:
            self._fields.append(Field(self._select[0], "select", tuple(self._select[1]) or ("",)))
            self._select = None
        elif tag == "form" and self._form is not None:
            path, method = self._form
            for where in (path, *self._elsewhere):
                form = PageForm(where.partition("?")[0], method, tuple(self._fields))
                self.forms.append(form)
            self._form, self._elsewhere = None, []
