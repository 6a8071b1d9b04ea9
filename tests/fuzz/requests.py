"""A request that nobody means well with, drawn from what a club offers."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from urllib.parse import quote_from_bytes

from clubplanner.webapp.base.security import ANYBODY, roles_of
from tests.council import BROOK_U14, WEIR_U12
from tests.fuzz.club import OTHER_COACH, WHO
from tests.fuzz.files import draw_file
from tests.fuzz.values import HEADERS, draw_near, draw_text

if TYPE_CHECKING:
    from random import Random

    from flask import Flask

    from tests.fuzz.club import Keys
    from tests.fuzz.pages import Field, Offers

LARGEST_BODY = 3_000_000
LONGEST_QUESTION = 200_000
"""What our server takes of a request before its body is 262,144 bytes in all."""
ODD_METHODS = (
    "HEAD",
    "OPTIONS",
    "PUT",
    "PATCH",
    "DELETE",
    "TRACE",
    "PROPFIND",
    "get",
    "\x00",
    "X" * 999,
)
BOUNDARY = "----zq"

Pairs = list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Attack:
    """A request, as bytes that go to the server.

    Attributes:
        who: Whose browser sends it.
        method: Any word.
        rule: The rule it is meant for.
        path: Percent-encoded.
        question: Percent-encoded, without "?".
        headers: More headers; they count before the usual ones.
        kind: Content type; blank for none.
        body: What is sent.
        has_token: Whether the form's token is right.
    """

    who: str
    method: str
    rule: str
    path: str
    question: str = ""
    headers: tuple[tuple[str, str], ...] = ()
    kind: str = ""
    body: bytes = field(default=b"", repr=False)
    has_token: bool = True

    def told(self) -> str:
        """Tell it in a line, long parts cut."""
        where = f"{self.path[:200]}?{self.question[:200]}".rstrip("?")
        heads = " ".join(f"{name}:{value[:60]!r}" for name, value in self.headers)
        sent = f"{self.kind} {self.body[:600]!r}" if self.body or self.kind else ""
        return f"{self.who}: {self.method[:20]!r} {where} {heads} {sent}".strip()


def encoded(text: str) -> str:
    """Write text percent-encoded, halves of pairs as the bytes that they would be."""
    data = text.encode("utf-8", "surrogatepass")
    if len(data) > 500:
        return "%" + data.hex("%")  # quicker
    return quote_from_bytes(data, safe="")


def draw_attack(
    draw: Random, app: Flask, offers: Offers, keys: Keys, only: str | None = None
) -> Attack:
    """Draw a request; as one of `WHO` alone if that is named."""
    method, rule, endpoint = draw.choice(offers.routes)
    who = _draw_who(draw, app, endpoint) if only is None else only
    path = _draw_path(draw, offers, keys, rule)
    has_token = draw.random() < 0.93
    question = _pairs(_draw_question(draw, offers, rule)) if draw.random() < 0.6 else ""
    question = question[:LONGEST_QUESTION]
    kind, body = "", b""
    if method == "POST":
        kind, body = _draw_body(draw, offers, rule, has_token=has_token)
    if draw.random() < 0.04:
        method = draw.choice(ODD_METHODS)
    headers = []
    while draw.random() < 0.12:
        headers.append(draw.choice(HEADERS))
    return Attack(who, method, rule, path, question, tuple(headers), kind, body, has_token)


def _draw_who(draw: Random, app: Flask, endpoint: str) -> str:
    """Draw who asks: more often somebody who may."""
    roles = roles_of(app, endpoint) if endpoint != "static" else ANYBODY
    if draw.random() < 0.5 or not roles:
        return draw.choice(WHO)
    may = sorted(role.value for role in roles)
    return draw.choice(may + ([OTHER_COACH] if "coach" in may else []))


def _draw_path(draw: Random, offers: Offers, keys: Keys, rule: str) -> str:
    """Draw an address that follows a rule: one that was found, or parts of other kinds."""
    if "<" not in rule:
        return rule
    known = offers.paths.get(rule, [])
    if known and draw.random() < 0.6:
        return draw.choice(known)
    parts = draw.choice(known).split("/") if known else rule.split("/")
    made = []
    for ours, theirs in zip(rule.split("/"), parts, strict=False):
        if not ours.startswith("<") and "<" not in ours:
            made.append(ours)
        elif known and draw.random() < 0.4:
            made.append(theirs)
        else:
            made.append(_draw_part(draw, ours, keys))
    return "/".join(made)


def _draw_part(draw: Random, part: str, keys: Keys) -> str:
    if draw.random() < 0.25:
        return encoded(draw_text(draw)[:3000])
    before, _, rest = part.partition("<")
    name, _, after = rest.partition(">")
    if name.startswith("int:"):
        value = str(draw.choice((1, 1, 2, 2, 3, 4, 5, 6, 7, 8, 12, 20, 30, 60, 10**6, 2**63 - 1)))
    elif name == "secret":
        value = draw.choice(keys.secrets)
    else:
        value = draw.choice(NAMES)
    return f"{before}{value}{after}"


NAMES = (
    *(WEIR_U12, BROOK_U14, "marsh-lane", "marsh-lane-top-pitch", "marsh-lane-low-pitch"),
    *(
        "marsh-lane-hall",
        "squads",
        "fixtures",
        "hires",
        "winter",
        "christmas",
        "1",
        "template",
        "x",
    ),
    *(
        "example",
        "week",
        "a3",
        "new-pitch",
        "file",
        "192",
        "512",
        "people",
        "Weir Rovers U12 Kestrels",
    ),
)
"""Keys and kinds that stand in addresses."""


def _draw_question(draw: Random, offers: Offers, rule: str) -> Pairs:
    """Draw a question: what links ask, with a change or two."""
    asked = offers.questions.get(rule, {})
    pairs = [(name, value) for name, value in asked.items() if draw.random() < 0.7]
    return _disturbed(draw, pairs, offers.names[rule])


def _disturbed(draw: Random, pairs: Pairs, names: tuple[str, ...]) -> Pairs:
    """Change some of the pairs: another value, twice, left out, one that nobody asked for."""
    changed = list(pairs)
    for _ in range(draw.choice((0, 1, 1, 1, 2, 2, 4))):
        kind = draw.random()
        place = draw.randrange(len(changed)) if changed else 0
        if changed and kind < 0.55:
            name, value = changed[place]
            changed[place] = (name, draw_near(draw, value) if kind < 0.1 else draw_text(draw))
        elif changed and kind < 0.65:
            changed.pop(place)
        elif changed and kind < 0.75:
            changed.append((changed[place][0], draw_text(draw)))
        elif names and kind < 0.95:
            changed.append((draw.choice(names), draw_text(draw)))
        else:
            changed.append((draw_text(draw)[:500], draw_text(draw)[:500]))
    return changed


def _draw_body(draw: Random, offers: Offers, rule: str, *, has_token: bool) -> tuple[str, bytes]:
    """Draw what a form sends, or something that no form of ours would."""
    forms = offers.forms.get(("POST", rule), [])
    fields = draw.choice(forms).fields if forms else ()
    token = [("csrf_token", TOKEN)] if has_token else [("csrf_token", draw_text(draw)[:999])]
    if not has_token and draw.random() < 0.5:
        token = []
    pairs = token + _disturbed(draw, _filled(draw, fields), offers.names[rule])
    kind = draw.random()
    files = [field.name for field in fields if field.kind == "file"]
    if kind < 0.04:
        return draw.choice(
            (
                ("application/json", json.dumps(dict(pairs)).encode()),
                ("text/plain", draw_text(draw).encode("utf-8", "surrogatepass")),
                ("", _pairs(pairs).encode()),
                ("multipart/form-data", b"--x\r\n"),
                (f"multipart/form-data; boundary={BOUNDARY}", _parts(pairs, [])[:-9]),
                ("application/x-www-form-urlencoded; charset=utf-7", _pairs(pairs).encode()),
                ("application/x-www-form-urlencoded", b"&" * 90_000),
                ("application/x-www-form-urlencoded", b"=&%&%zz=%" * 900),
            )
        )
    if files or kind < 0.1:
        names = files or [draw.choice(offers.names[rule] or ("files",))]
        sent = [
            (name, *draw_file(draw)) for name in names for _ in range(draw.choice((1, 1, 1, 2)))
        ]
        return f"multipart/form-data; boundary={BOUNDARY}", _parts(pairs, sent)
    return "application/x-www-form-urlencoded", _pairs(pairs).encode()


TOKEN = "\ufdd0token"
"""Stands for the form's token until the request is sent; a sign that is nobody's."""
ONCE = "\ufdd0once"
"""Stands for a token of one showing of a form."""


def _filled(draw: Random, fields: tuple[Field, ...]) -> Pairs:
    """Fill a form in as somebody might: as it stands, other choices, boxes ticked or not."""
    pairs: Pairs = []
    buttons = [field for field in fields if field.kind in ("button", "submit")]
    pressed = draw.choice(buttons) if buttons and draw.random() < 0.7 else None
    for one in fields:
        if one.name == "csrf_token" or one.kind == "file":
            continue
        if one.name == "once":
            pairs.append(("once", ONCE))
        elif (one.kind in ("button", "submit") and one is not pressed) or (
            one.kind in ("checkbox", "radio") and draw.random() < 0.5
        ):
            continue
        else:
            pairs.append(
                (one.name, draw.choice(one.values) if draw.random() < 0.3 else one.values[0])
            )
    return pairs


def _pairs(pairs: Pairs) -> str:
    return "&".join(f"{encoded(name)}={encoded(value)}" for name, value in pairs)[:LARGEST_BODY]


def _parts(pairs: Pairs, files: list[tuple[str, str, bytes]]) -> bytes:
    """Write a form with files (RFC 7578)."""
    made = []
    for name, value in pairs:
        head = f'Content-Disposition: form-data; name="{name}"\r\n\r\n'
        made.append(head.encode("utf-8", "surrogatepass") + value.encode("utf-8", "surrogatepass"))
    for name, file_name, data in files:
        head = f'Content-Disposition: form-data; name="{name}"; filename="{file_name}"\r\n\r\n'
        made.append(head.encode("utf-8", "surrogatepass") + data)
    edge = f"--{BOUNDARY}".encode()
    return edge + b"\r\n" + (b"\r\n" + edge + b"\r\n").join(made) + b"\r\n" + edge + b"--\r\n"
