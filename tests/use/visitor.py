"""Somebody with a browser that keeps cookies, follows links and fills in forms; no scripts."""

from __future__ import annotations

import urllib.request
from dataclasses import dataclass, field
from html.parser import HTMLParser
from http.cookiejar import CookieJar
from typing import TYPE_CHECKING
from urllib.error import HTTPError
from urllib.parse import urlencode, urljoin, urlsplit

if TYPE_CHECKING:
    from email.message import Message

_LINKS = {"a": "href", "link": "href", "img": "src", "script": "src", "image": "href"}


@dataclass
class Form:
    """A form as it stands on a page.

    Attributes:
        method: "get" or "post".
        action: Where it goes; "" for the page itself.
        values: Its fields as they are filled in, buttons left out.
        names: All that can be filled in, ticked or pressed.
    """

    method: str
    action: str
    values: dict[str, str] = field(default_factory=dict)
    names: set[str] = field(default_factory=set)


@dataclass
class Answer:
    """What came back.

    Attributes:
        asked: The address that was asked for.
        address: The address that answered in the end.
        status: HTTP status.
        headers: Of the answer.
        body: Its bytes.
    """

    asked: str
    address: str
    status: int
    headers: Message
    body: bytes

    @property
    def kind(self) -> str:
        """The kind of content, without its parameters."""
        return self.headers.get_content_type()

    @property
    def text(self) -> str:
        """The body as text."""
        return self.body.decode("utf-8")

    def page(self) -> Page:
        """Read the body as a page."""
        return Page(self.text)


class Page(HTMLParser):
    """The links, forms and words of a page."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.links: list[str] = []
        self.forms: list[Form] = []
        self.tags: set[str] = set()
        self._form: Form | None = None
        self._select = ""
        self._text_field = ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note what a tag links to, or its field."""
        self.tags.add(tag)
        given = {name: value or "" for name, value in attrs}
        link = given.get(_LINKS.get(tag, ""), "")
        if link and "/" in link.partition("#")[0] + "/":
            self.links.append(link.partition("#")[0])
        if tag == "form":
            self._form = Form(given.get("method", "get").lower(), given.get("action", ""))
            self.forms.append(self._form)
        elif self._form is not None:
            self._note_field(tag, given)

    def handle_endtag(self, tag: str) -> None:
        """Close a form or a field."""
        if tag == "form":
            self._form = None
        elif tag == "select":
            self._select = ""
        elif tag == "textarea":
            self._text_field = ""

    def handle_data(self, data: str) -> None:
        """Keep what stands in a large text field."""
        if self._form is not None and self._text_field:
            self._form.values[self._text_field] += data

    def _note_field(self, tag: str, given: dict[str, str]) -> None:
        form, name = self._form, given.get("name", "")
        assert form is not None
        form.names |= {name} - {""}
        if tag == "select":
            self._select = name
        elif tag == "option" and self._select:
            value = given.get("value", "")
            if "selected" in given or self._select not in form.values:
                form.values[self._select] = value
        elif tag == "textarea":
            self._text_field = name
            form.values[name] = ""
        elif tag == "input" and name and given.get("type") not in ("submit", "file", "image"):
            is_choice = given.get("type") in ("checkbox", "radio")
            if not is_choice or "checked" in given:
                form.values[name] = given.get("value", "on" if is_choice else "")


class Visitor:
    """A browser of somebody's own at one address."""

    def __init__(self, address: str, language: str = "en") -> None:
        self.address = address
        cookies = urllib.request.HTTPCookieProcessor(CookieJar())
        self._opener = urllib.request.build_opener(cookies)
        self._opener.addheaders = [("Accept-Language", language), ("User-Agent", "Firefox/150.0")]

    def get(self, path: str) -> Answer:
        """Fetch a path or an address of this place."""
        return self._fetch(urllib.request.Request(urljoin(self.address, path)))  # noqa: S310

    def send(self, path: str, action: str = "", /, **values: str) -> Answer:
        """Fill in the form of a page, found by its action, and send it.

        Args:
            path: The page.
            action: How the form's action ends; "" for the first that is posted.
            values: Fields to fill in.
        """
        page = self.get(path)
        forms = [
            form
            for form in page.page().forms
            if form.method == "post" and urljoin(page.address, form.action).endswith(action)
        ]
        assert forms, f"{path} ({page.status}) has no form to {action}: {page.text[:2000]}"
        given = {name.rstrip("_"): value for name, value in values.items()}
        assert set(given) <= forms[0].names, f"{path} asks for {sorted(forms[0].names)}"
        return self.post(urljoin(page.address, forms[0].action), {**forms[0].values, **given})

    def post(self, address: str, values: dict[str, str]) -> Answer:
        """Post fields to an address."""
        data = urlencode(values).encode()
        return self._fetch(urllib.request.Request(address, data))  # noqa: S310

    def _fetch(self, request: urllib.request.Request) -> Answer:
        assert urlsplit(request.full_url).netloc == urlsplit(self.address).netloc
        try:
            with self._opener.open(request, timeout=60) as answer:
                return Answer(
                    request.full_url, answer.url, answer.status, answer.headers, answer.read()
                )
        except HTTPError as fault:
            with fault:
                return Answer(request.full_url, fault.url, fault.code, fault.headers, fault.read())
