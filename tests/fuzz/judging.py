"""What may not follow a request, whatever it is."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import unquote_to_bytes

from werkzeug.exceptions import HTTPException

from tests.fuzz.club import ADDRESS, NOBODY, OWN_SQUADS, PRIVATE
from tests.fuzz.rights import OPEN_TO_ALL, may_write
from tests.fuzz.values import MARK
from tests.fuzz.watched import WATCHED

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.fuzz.requests import Attack
    from tests.fuzz.served_club import Answer, Site

MOST_SECONDS = 5.0
"""Of the processor, for one answer."""
MOST_WAIT_S = 60.0
"""By the clock: a machine that is busy with other things is slower."""
MOST_BYTES = 200_000_000
"""By which a process may grow for one answer."""
SWAPPED = "giving.accept"
"""Here a coach changes a session of another squad, whose coach has offered it."""
_FRAMES = re.compile(r'File "[^"]*/(clubplanner/[^"]+)", line (\d+)')


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that may not be.

    Attributes:
        what: In words; the same for the same fault.
        attack: What led to it.
        more: What else is known.
    """

    what: str
    attack: Attack
    more: str = ""


def judge(site: Site, attack: Attack, answer: Answer) -> list[Finding]:
    """Return what may not be of an answer."""
    kinds = (_failed, _costly, _told_too_much, _led_astray)
    found = [what for kind in kinds for what in kind(attack, answer)]
    found += _written_without_right(site, attack, answer)
    return [Finding(what, attack, answer.trouble[-6000:]) for what in found]


def _failed(attack: Attack, answer: Answer) -> Iterator[str]:
    if answer.status in (0, 500) or answer.trouble:
        yield f"failed: {_where(answer.trouble)}"
    if b"Traceback (most recent" in answer.body:
        yield f"shows a traceback: {attack.rule}"


def _costly(attack: Attack, answer: Answer) -> Iterator[str]:
    if answer.seconds > MOST_SECONDS or answer.waited_s > MOST_WAIT_S:
        yield f"slow: {attack.method[:9]} {attack.rule} {answer.seconds:.0f} s"
    if answer.grown > MOST_BYTES:
        yield f"grew: {attack.method[:9]} {attack.rule} {answer.grown // 1_000_000} MB"


def _told_too_much(attack: Attack, answer: Answer) -> Iterator[str]:
    if "html" in answer.headers.get("Content-Type", "") and MARK.encode() in answer.body:
        yield f"not escaped: {attack.method[:9]} {attack.rule}"
    is_packed = "Content-Encoding" in answer.headers
    if attack.who != NOBODY or is_packed or attack.rule.startswith("/secretary/"):
        return  # that address is the secretary's own, and shows the name it is for
    shown = [word for word in PRIVATE if word.encode() in answer.body]
    if not shown:
        return
    sent = unquote_to_bytes(attack.path + attack.question) + unquote_to_bytes(attack.body)
    for word in shown:
        if word.encode() not in sent:
            yield f"shows {word} to nobody: {attack.rule}"


def _led_astray(attack: Attack, answer: Answer) -> Iterator[str]:
    where = answer.headers.get("Location", "")
    is_ours = where.startswith(("/", f"{ADDRESS}/")) and not where.startswith(("//", "/\\"))
    has_own_host = any(name == "Host" for name, _value in attack.headers)  # led to where it is
    if where and not is_ours and not has_own_host:
        yield f"leads elsewhere: {attack.rule} to {where[:80]!r}"


def _written_without_right(site: Site, attack: Attack, answer: Answer) -> Iterator[str]:
    endpoint = endpoint_of(site, attack)
    for table in sorted(answer.written):
        if not may_write(site.app, attack, endpoint, table, answer.status):
            yield f"{attack.who} wrote {table} by {endpoint} ({answer.status // 100}xx)"
    if not answer.written & WATCHED:
        return
    before, site.stood = site.stood, site.rows()
    own, club = OWN_SQUADS.get(attack.who), site.club_of(attack.who)
    for (table, number), row in before.items():
        if site.stood.get((table, number)) == row:
            continue
        if own and table == "booking" and row.squad != own and endpoint != SWAPPED:
            yield f"{attack.who} changed a session of {row.squad} by {endpoint}"
        if club and row.club not in (None, club) and endpoint not in OPEN_TO_ALL:
            yield f"{attack.who} changed a {table} of {row.squad} by {endpoint}"


def endpoint_of(site: Site, attack: Attack) -> str:
    """Return which view answers: a path may lead elsewhere than to the rule it was drawn for."""
    path = unquote_to_bytes(attack.path).decode("utf-8", "replace")
    method = "GET" if attack.method == "HEAD" else attack.method
    try:
        endpoint, _values = site.app.url_map.bind("").match(path, method)
    except HTTPException:
        return ""
    return str(endpoint)


def _where(trouble: str) -> str:
    """Return the kind of an error and the last place in the program that it came through."""
    places = _FRAMES.findall(trouble)
    last = trouble.strip().splitlines()[-1][:160] if trouble.strip() else "no answer"
    return f"{last} at {':'.join(places[-1])}" if places else last
