"""Proposals, published or not, as a file each."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from sqlalchemy import select, update

from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.inputs.reading.bounded import read_json
from clubplanner.inputs.reading.faults import Faults, decode_text
from clubplanner.language import _
from clubplanner.services.folder.sheets.columns import Instant, Kind, Optional, Ref, json_words
from clubplanner.services.proposals.kept_proposals import proposal_from_row
from clubplanner.store.tables.booking_tables import ShareOutRow

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from sqlalchemy.orm import Session

    from clubplanner.domain.problems import Problem
    from clubplanner.services.folder.sheets.names import Names

FILE = re.compile(r"share-out-(\d{1,9})\.json", re.ASCII)
KEYS = ("stretch", "sort", "created", "kind", "published", "outcome")
ABOUT = "a proposal each, and whether it was published"
GONE = 10**12
"""Numbers of asks from here on are of none that there is."""
_BOOKING = "booking-"
_TABLE = "share_out"


def name_share_outs(session: Session, names: Names) -> None:
    """Note what proposals are called: by their place in the order in which they were made."""
    for place, number in enumerate(
        session.scalars(select(ShareOutRow.id).order_by(ShareOutRow.id)), start=1
    ):
        names.add(_TABLE, number, str(place))


def write_share_outs(session: Session, names: Names) -> Iterator[ClubFile]:
    """Yield every proposal; bookings and proposals have their names already."""
    at = Optional(Instant())
    stretch = Optional(Ref("stretch"))
    query = select(ShareOutRow).order_by(ShareOutRow.id).execution_options(yield_per=10)
    for row in session.scalars(query):
        value = {
            "stretch": stretch.write(row.stretch_id, names),
            "sort": row.sort,
            "created": at.write(row.created_at, names),
            "kind": row.kind,
            "published": at.write(row.published_at, names),
            "outcome": _renamed(row.outcome, lambda ask: _write_ask(ask, names)),
        }
        name = f"share-out-{names.texts[_TABLE][row.id]}.json"
        yield ClubFile(name, json_words(value, 1).encode())


class ShareOutsRead:
    """Proposals of a folder: their rows first, as bookings refer to them, then what they say.

    Attributes:
        problems: Every fault.
    """

    def __init__(self, files: Sequence[ClubFile], names: Names) -> None:
        """Read the files; faults are noted."""
        self.problems: list[Problem] = []
        self._names = names
        self._read: list[tuple[str, dict[str, Any]]] = []
        for number, file in sorted(_numbered(files), key=lambda one: one[0]):
            faults = Faults(file.name)
            values = _read_file(decode_text(file.data), names, faults)
            self.problems += faults.found
            names.add(_TABLE, 0, str(number))
            if values is not None:
                self._read.append((str(number), values))

    def write(self, session: Session) -> None:
        """Write their rows."""
        for place, values in self._read:
            row = ShareOutRow(**{**values, "outcome": {}})
            session.add(row)
            session.flush()
            self._names.add(_TABLE, row.id, place)

    def write_outcomes(self, session: Session) -> None:
        """Write what they say, once bookings and asks have their numbers."""
        for place, values in self._read:
            outcome = _renamed(values["outcome"], lambda ask: _read_ask(ask, self._names))
            number = self._names.ids[_TABLE][place]
            session.execute(
                update(ShareOutRow).where(ShareOutRow.id == number).values(outcome=outcome)
            )


def _numbered(files: Sequence[ClubFile]) -> Iterator[tuple[int, ClubFile]]:
    for file in files:
        if match := FILE.fullmatch(file.name):
            yield int(match[1]), file


def _read_file(text: str, names: Names, faults: Faults) -> dict[str, Any] | None:
    data = read_json(text, faults)
    if faults.found:
        return None
    if not isinstance(data, dict) or set(data) != set(KEYS):
        words = _("A proposal has %(keys)s; leave the file as it was written", keys=", ".join(KEYS))
        faults.add("", "not-a-proposal", words)
        return None
    kinds: dict[str, Kind] = {
        "stretch": Optional(Ref("stretch")),
        "created": Instant(),
        "published": Optional(Instant()),
    }
    values: dict[str, Any] = {"outcome": data["outcome"]}
    for key in ("sort", "kind", *kinds):
        try:
            if not isinstance(data[key], str):
                raise ValueError(_("Write text in double quotes"))  # noqa: TRY004, TRY301
            values[key] = kinds[key].read(data[key], names) if key in kinds else data[key]
        except ValueError as fault:
            faults.add(key, "will-not-do", str(fault))
    _check_outcome(values, faults)
    if faults.found:
        return None
    stretch, created, published = (values.pop(key) for key in kinds)
    return values | {"stretch_id": stretch, "created_at": created, "published_at": published}


def _check_outcome(values: dict[str, Any], faults: Faults) -> None:
    """Hold what a proposal says to what its pages read."""
    if faults.found:
        return
    row = ShareOutRow(id=0, stretch=None, created_at=values["created"], sort=values["sort"])
    row.outcome, row.kind, row.published_at = values["outcome"], values["kind"], None
    try:
        _renamed(row.outcome, str)
        proposal_from_row(row)
    except (AttributeError, KeyError, RecursionError, TypeError, ValueError):
        words = _("This is no proposal that can be read; leave the file as it was written")
        faults.add("outcome", "not-a-proposal", words)


def _write_ask(ask: str, names: Names) -> str:
    """Write an ask of a proposal: by its place among the squads' rows, or by its booking."""
    match = _IS_ASK.fullmatch(ask)
    if match is None:
        return ask
    number = int(match[2])
    if match[1]:
        called = names.texts["booking"].get(number)
        return ask if called is None else f"{match[1]}{called}"
    called = names.texts["ask"].get(number)
    return called or str(number if number >= GONE else number + GONE)


def _read_ask(ask: str, names: Names) -> str:
    table, before = ("booking", _BOOKING) if ask.startswith(_BOOKING) else ("ask", "")
    number = names.ids[table].get(ask.removeprefix(before))
    return ask if number is None else f"{before}{number}"


def _renamed(value: Any, rename: Callable[[str], str], name: str = "") -> Any:
    """Return a value of a proposal with other names of the asks in it."""
    if isinstance(value, str):
        return rename(value) if name == "ask" else value
    if isinstance(value, list):
        return [_renamed(one, rename, name) for one in value]
    if isinstance(value, dict):
        return {own: _renamed(one, rename, own) for own, one in value.items()}
    return value


_IS_ASK = re.compile(rf"({_BOOKING})?(\d{{1,18}})", re.ASCII)
