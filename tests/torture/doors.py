"""The doors by which clients change things over HTTP: the secretary's forms, and the JSON API.

A door sends a change once and says what it was told. Sent again with the same key a change is done
once; the API takes a key for what is posted alone, so of other changes that were not answered a
program reads first how the booking stands: nobody else changes it. What it reads there may not have
reached the disk, so it asks the records as well, which do not say before.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol
from urllib.parse import urlencode

from tests.torture.ledger import Outcome
from tests.torture.line import FAULTS

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from tests.torture.club import Club
    from tests.torture.line import Line, Told

ROOT = "/api/1/bookings"
AWAY = (429, 500, 503)
"""What is answered where the same may be sent again."""


@dataclass(frozen=True, slots=True)
class At:
    """Where and when.

    Attributes:
        area: Its number.
        start: On a quarter of an hour, UTC.
        end: Likewise, after it.
    """

    area: int
    start: datetime
    end: datetime


@dataclass(slots=True)
class Held:
    """A booking of the client's own, as it was told.

    Attributes:
        number: Its number.
        sequence: How often it was changed.
        at: Where and when it is.
        tags: For the API, its states' ETags, newest last.
    """

    number: int
    sequence: int
    at: At
    tags: tuple[str, ...] = ()

    def see(self, tag: str) -> None:
        """Note the newest ETag."""
        self.tags = (*(one for one in self.tags if one != tag), tag)[-2:]


@dataclass(frozen=True, slots=True)
class Change:
    """What a client tries.

    Attributes:
        kind: "book", "move" or "withdraw".
        mark: The words by which the records tell it.
        key: Says that it is the same change, sent again.
        held: Of a booking that is there, which.
        at: Where it shall be; None for one that is withdrawn.
        squad: Whom for, one of the club's; None for a hirer.
        is_stale: Whether it is made by what was seen before the last change.
    """

    kind: str
    mark: str
    key: str
    held: Held | None = None
    at: At | None = None
    squad: int | None = None
    is_stale: bool = False


class Made(NamedTuple):
    """What was booked: its number, and of the API its ETag."""

    number: int
    tags: tuple[str, ...] = ()


class Door(Protocol):
    """Sends changes.

    Attributes:
        name: What the ledger adds to what is tried there.
        broken: How many answers had status 500.
        made: What was booked last, where the answer said it.
        said: What came of the last sending: a status, or what stood for an answer.
    """

    name: str
    broken: int
    said: str
    made: Made | None

    def send(self, change: Change) -> Outcome:
        """Send a change once."""

    def hang_up(self) -> None:
        """End all lines; the next change begins another."""


class FormDoor:
    """The pages, with a secretary's browser."""

    name = " by form"

    def __init__(self, line: Line, secret: str) -> None:
        self.broken = 0
        self.said = ""
        self.made: Made | None = None
        self.hang_up = line.hang_up
        self._line, self._cookies, self._token = line, {"person": secret}, ""

    def send(self, change: Change) -> Outcome:
        """Send the change's form once."""
        try:
            if not self._token:
                page = self._ask("GET", "/desk/evening").text
                found = re.search(r'name="csrf_token" value="([^"]+)"', page)
                if found is None:
                    return Outcome.UNKNOWN
                self._token = found[1]
            path, fields = _form_of(change)
            sent = {**fields, "once": change.key, "csrf_token": self._token}
            return self._judge(self._ask("POST", path, urlencode(sent)))
        except FAULTS as fault:
            self.said = type(fault).__name__
            return Outcome.UNKNOWN

    def _judge(self, told: Told) -> Outcome:
        self.said = str(told.status)
        if told.status == 302:
            return Outcome.DONE
        if told.status == 409:
            if "has been sent already" in told.text:
                return Outcome.DONE
            return Outcome.UNKNOWN if "still at work" in told.text else Outcome.REFUSED
        if told.status in (404, 422):
            return Outcome.REFUSED
        self.broken += told.status == 500
        assert told.status in AWAY, f"answered {told.status}: {told.text[:2000]}"
        return Outcome.UNKNOWN

    def _ask(self, method: str, path: str, body: str = "") -> Told:
        headers = {"Cookie": "; ".join(f"{k}={v}" for k, v in self._cookies.items())}
        if body:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        told = self._line.ask(method, path, body, headers)
        for cookie in told.headers.get_all("Set-Cookie") or ():
            name, _, value = cookie.partition(";")[0].partition("=")
            self._cookies[name] = value
        return told


class ApiDoor:
    """The JSON API, with a token of a secretary."""

    name = " by the API"

    def __init__(
        self, line: Line, club: Club, token: str, look: Callable[[Change], int | None]
    ) -> None:
        self.broken = 0
        self.said = ""
        self.made: Made | None = None
        self.hang_up = line.hang_up
        self._line, self._club, self._token, self._look = line, club, token, look
        self._sent = ""

    def send(self, change: Change) -> Outcome:
        """Make the call once, after a look where it was made before or the ETag is not known."""
        is_again, self._sent = change.key == self._sent, change.key
        try:
            if change.held is None:
                return self._book(change)
            if is_again or len(change.held.tags) <= change.is_stale:
                outcome = self._see(change, change.held, is_again=is_again)
                if outcome is not None:
                    return outcome
            return self._change(change, change.held)
        except FAULTS as fault:
            self.said = type(fault).__name__
            return Outcome.UNKNOWN

    def _book(self, change: Change) -> Outcome:
        told = self._ask("POST", "", self._body(change), key=change.key)
        self.made = None
        if told.status == 201:
            self.made = Made(json.loads(told.text)["number"], (told.headers["ETag"],))
        return self._judge(told)

    def _see(self, change: Change, held: Held, *, is_again: bool) -> Outcome | None:
        """Read how a booking stands; return what became of the change if that ends it."""
        seen = self._ask("GET", f"/{held.number}")
        if seen.status != 200:
            return self._judge(seen)
        stands = json.loads(seen.text)
        if is_again and stands["sequence"] > held.sequence and not change.is_stale:
            is_kept = self._look(change) is not None  # by this change itself, sent before
            return Outcome.DONE if is_kept else Outcome.UNKNOWN
        held.see(seen.headers["ETag"])
        return None

    def _change(self, change: Change, held: Held) -> Outcome:
        tag = held.tags[0] if change.is_stale else held.tags[-1]
        path = f"/{held.number}"
        if change.at is None:
            path += f"?{urlencode({'why': change.mark})}"
            told = self._ask("DELETE", path, tag=tag)
        else:
            told = self._ask("PATCH", path, self._body(change), tag=tag)
        if told.status == 200:
            held.see(told.headers["ETag"])
        elif told.status == 412 and not change.is_stale:  # something else than its place is told
            held.tags = ()
            return Outcome.UNKNOWN
        return self._judge(told, was_seen=True)

    def _judge(self, told: Told, *, was_seen: bool = False) -> Outcome:
        self.said = str(told.status)
        if told.status in (200, 201):
            return Outcome.DONE if was_seen or told.status == 201 else Outcome.UNKNOWN
        kind = ""
        if told.status not in AWAY:
            value = json.loads(told.text)
            kind = value["type"].rpartition("/")[2]
            if kind == "at-work":
                return Outcome.DONE if "was done" in value["detail"] else Outcome.UNKNOWN
        if kind in ("clash", "hindered", "refused", "faulty", "not-there", "changed-meanwhile"):
            return Outcome.REFUSED
        self.broken += told.status == 500
        assert told.status in AWAY, f"answered {told.status}: {told.text[:2000]}"
        return Outcome.UNKNOWN

    def _body(self, change: Change) -> str:
        assert change.at is not None
        pitch, area = self._club.places[change.at.area]
        body: dict[str, Any] = {
            "place": {"pitch": pitch, "area": area},
            "starts_at": change.at.start.isoformat(),
            "ends_at": change.at.end.isoformat(),
        }
        if change.held is not None:
            return json.dumps({**body, "why": change.mark})
        whose: dict[str, Any] = {"purpose": "hire", "holder": "Choir"}
        if change.squad is not None:
            whose = {"purpose": "training", "squad": self._club.squads[change.squad]}
        return json.dumps({**body, **whose, "note": change.mark})

    def _ask(self, method: str, path: str, body: str = "", *, key: str = "", tag: str = "") -> Told:
        given = {
            "Authorization": f"Bearer {self._token}",
            "Content-Type": "application/json" if body else "",
            "Idempotency-Key": key,
            "If-Match": tag,
        }
        headers = {name: value for name, value in given.items() if value}
        return self._line.ask(method, ROOT + path, body, headers)


def _form_of(change: Change) -> tuple[str, dict[str, str]]:
    """Return where a change's form goes and what is typed there."""
    path = "/desk/bookings"
    fields = {}
    if change.at is not None:
        fields = {
            "area": str(change.at.area),
            "date": f"{change.at.start:%Y-%m-%d}",
            "from": f"{change.at.start:%H:%M}",
            "to": f"{change.at.end:%H:%M}",
        }
    if change.held is None:
        is_hire = change.squad is None
        whose = {
            "purpose": "hire" if is_hire else "training",
            "squad": "" if is_hire else str(change.squad),
            "who": "Choir" if is_hire else "",
        }
        return path, {**fields, **whose, "note": change.mark}
    path = f"{path}/{change.held.number}/{change.kind}"
    sequence = str(change.held.sequence - change.is_stale)
    why = "why" if change.kind == "move" else "why_off"
    return path, {**fields, "sequence": sequence, why: change.mark}
