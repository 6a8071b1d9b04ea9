"""The list of the clubs of a server: one TOML file (https://toml.io/en/v1.0.0), a table a club.

    [kestrels]
    records = "sqlite:///kestrels.sqlite"
    public_address = "https://kestrels.example.org"

    [rovers]
    records = "postgresql://clubplanner@db.example.org/rovers"
    public_address = "https://town.example.org/rovers"
    hosts = ["town.example.org", "town.internal"]
    mail_from = "pitches@rovers.example"

The name of a table is the club's short name: up to 32 small letters, digits and hyphens, a letter
or digit first and last. It stands in commands (`--club rovers`), in the log and in figures.

`records` and `public_address` are needed. A file of records without a folder in front lies beside
the list. A request belongs to the club whose host name it asks for and, where the public address
has a path, whose path it is below. On a host either one club has all of it, or each has a path
and none lies within another: a browser gives what it keeps for a path to all that is below.

Optional: `hosts`, the host names that requests ask for, where they are not that of the public
address alone; `mail_from`, `quiet_hours`; `smtp_host`, `smtp_port`, `smtp_security`, `smtp_user`,
`smtp_password`; `metrics_key`. They mean what CLUBPLANNER_MAIL_FROM and so on mean, and come before
those. A club that names a mail server of its own takes nothing of the common one's, its password
least of all. CLUBPLANNER_METRICS_KEY opens the figures of all clubs and is no club's own key.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError

from clubplanner import config
from clubplanner.config import Config, Settings
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, PlannerError, RefusedError
from clubplanner.store.engine import open_store

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

MOST_BYTES = 1_000_000
NEEDED = ("records", "public_address")
MAIL_SERVER = ("smtp_host", "smtp_port", "smtp_security", "smtp_user", "smtp_password")
OPTIONAL = ("hosts", "mail_from", "quiet_hours", *MAIL_SERVER, "metrics_key")
SERVERS_OWN = ("health", "metrics", "static")
"""First parts of a path at which the server itself answers."""
CHECKS: Mapping[str, Callable[[Settings], object]] = {
    "public_address": config.read_public_address,
    "smtp_security": config.read_smtp_security,
    "smtp_port": config.read_smtp_port,
    "mail_from": config.read_mail_from,
    "quiet_hours": config.read_quiet_hours,
    "metrics_key": config.read_metrics_key,
}
"""Each setting that can be wrong by itself, and who reads it."""
_NAME = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,30}[a-z0-9])?")
_HOST = re.compile(r"[\w-]+(?:\.[\w-]+)*|[0-9a-f:.]+")
_PATH_PART = re.compile(r"[A-Za-z0-9_~-][A-Za-z0-9._~-]*")


@dataclass(frozen=True, slots=True)
class KnownClub:
    """A club of the list.

    Attributes:
        name: Its short name.
        config: Its settings, its records' address among them.
        hosts: The host names that requests for it ask for, as they come over the line.
        path: The path it is below, such as "/rovers"; blank where it has its hosts to itself.
    """

    name: str
    config: Config
    hosts: tuple[str, ...]
    path: str


@dataclass(frozen=True, slots=True)
class _Read:
    """A table as it was read.

    Attributes:
        problems: All that is wrong with it.
        club: The club; None where something is.
    """

    problems: tuple[Problem, ...]
    club: KnownClub | None = None


def read_list(file: Path, common: Config, settings: Settings) -> tuple[KnownClub, ...]:
    """Read the list of clubs, in the order of the file.

    Args:
        file: Where it is.
        common: The settings of the process.
        settings: The same as they were written: what a club does not say is taken from them.

    Raises:
        RefusedError: If there is no such file, or it cannot be read at all.
        FaultyInputError: With every fault there is.
    """
    tables = _tables(file)
    if not tables:
        raise FaultyInputError([Problem(file.name, "no-club", "Name a club: write a [table].")])
    read = [_read_club(file, name, value, common, settings) for name, value in tables.items()]
    clubs = [each.club for each in read if each.club is not None]
    problems = [problem for each in read for problem in each.problems]
    problems += [*_shared_records(file, clubs), *_shared_places(file, clubs)]
    if problems:
        raise FaultyInputError(problems)
    return tuple(clubs)


def plain_host(text: str) -> str:
    """Return a host name as it is compared: without a port, in small letters, as in the DNS.

    Args:
        text: A Host header, or what somebody wrote: "Town.example.org:8000", "[::1]", "käfer.de".
    """
    name = text.strip().lower()
    if name.startswith("["):
        name = name[1:].partition("]")[0]
    elif name.count(":") == 1:
        name = name.partition(":")[0]
    name = name.rstrip(".")
    try:
        return name if name.isascii() else name.encode("idna").decode("ascii")
    except UnicodeError:
        return name


def _tables(file: Path) -> dict[str, Any]:
    try:
        data = file.read_bytes()
    except OSError as fault:
        why = fault.strerror or str(fault)
        raise RefusedError(f"The list of clubs {file} cannot be read ({why}).") from fault
    if len(data) > MOST_BYTES:
        raise RefusedError(f"{file} is too large for a list of clubs; at most 1 MB is read.")
    try:
        return tomllib.loads(data.decode("utf-8"))
    except UnicodeDecodeError as fault:
        words = "This is no text in UTF-8; save it so."
        raise FaultyInputError([Problem(file.name, "not-text", words)]) from fault
    except tomllib.TOMLDecodeError as fault:
        words = f'This is no TOML: {fault}. Write “name = "value"” below a [table] a club.'
        raise FaultyInputError([Problem(file.name, "not-toml", words)]) from fault


def _read_club(file: Path, name: str, table: object, common: Config, settings: Settings) -> _Read:
    def problem(place: str, code: str, words: str) -> Problem:
        where = f"{file.name}, {name}"
        return Problem(f"{where}, {place}" if place else where, code, words)

    if not isinstance(table, dict):
        words = "This stands in no club's table; write it below a [table]."
        return _Read((problem("", "no-table", words),))
    found: list[Problem] = []
    if not _NAME.fullmatch(name):
        words = "Give the club a short name of small letters, digits and hyphens, 32 at most."
        found.append(problem("", "name", words))
    found += [
        problem(key, "unknown", f"There is no such setting; there are {_listed()}.")
        for key in table
        if key not in (*NEEDED, *OPTIONAL)
    ]
    found += [problem(key, "type", words) for key, words in _wrong_kinds(table)]
    if not found:
        own = _own_settings(table, settings)
        found += [problem(key, "value", words) for key, words in _wrong_values(table, own)]
    if not found:
        club, faults = _made(file, name, table, common, own)
        found += [problem(key, "value", words) for key, words in faults]
        return _Read(tuple(found), None if found else club)
    return _Read(tuple(found))


def _listed() -> str:
    return ", ".join((*NEEDED, *OPTIONAL))


def _wrong_kinds(table: Mapping[str, object]) -> Iterator[tuple[str, str]]:
    for key in NEEDED:
        if not table.get(key):
            yield key, f"Set “{key}”; each club needs it."
    for key, value in table.items():
        if key == "hosts":
            if not isinstance(value, list) or not value or not all(map(_is_host, value)):
                yield key, 'Write host names in a list, such as ["town.example.org"].'
        elif key == "smtp_port" and type(value) is int:
            continue
        elif key in (*NEEDED, *OPTIONAL) and not isinstance(value, str):
            yield key, f'Write a text in quotation marks: {key} = "…".'


def _is_host(value: object) -> bool:
    return isinstance(value, str) and _HOST.fullmatch(plain_host(value)) is not None


def _own_settings(table: Mapping[str, object], settings: Settings) -> Settings:
    """Return a club's settings: its own, and the common ones for what it does not say."""
    has_server = any(key in table for key in MAIL_SERVER)
    not_common = {"METRICS_KEY", "PUBLIC_ADDRESS", *(MAIL_SERVER if has_server else ())}
    left_out = {key.upper() for key in not_common}
    values = {key: value for key, value in settings.values.items() if key not in left_out}
    values |= {key.upper(): str(value) for key, value in table.items()}
    return Settings(
        values, lambda name: name.lower() if name.lower() in table else "CLUBPLANNER_" + name
    )


def _wrong_values(table: Mapping[str, object], own: Settings) -> Iterator[tuple[str, str]]:
    if any(key in table for key in MAIL_SERVER) and not table.get("smtp_host"):
        yield "smtp_host", "Set “smtp_host”, too; the common mail server's settings do not count."
    told = set()
    for key, read in CHECKS.items():
        try:
            read(own)
        except RefusedError as fault:
            if str(fault) not in told:
                yield key, str(fault)
            told.add(str(fault))


def _made(
    file: Path, name: str, table: Mapping[str, Any], common: Config, own: Settings
) -> tuple[KnownClub, list[tuple[str, str]]]:
    """Return a club, and what is wrong with where its records and pages are."""
    faults = []
    records, words = _records(file, str(table["records"]))
    if words:
        faults.append(("records", words))
    address = config.read_public_address(own)
    parts = urlsplit(address)
    faults += [("public_address", words) for words in _wrong_path(parts.path)]
    hosts = table.get("hosts", [parts.hostname or ""])
    mine = replace(
        common,
        database=records,
        public_address=address,
        mail_server=config.read_mail_server(own),
        quiet=config.read_quiet_hours(own),
        metrics_key=config.read_metrics_key(own),
        club=name,
    )
    plain = tuple(dict.fromkeys(plain_host(f"[{h}]" if ":" in h else h) for h in hosts))
    return KnownClub(name, mine, plain, parts.path), faults


def _records(file: Path, address: str) -> tuple[str, str]:
    """Return an address of records, made whole, and what is wrong with it or a blank.

    The address itself is not repeated: a password may stand in it.
    """
    try:
        url = make_url(address)
        if url.get_backend_name() == "sqlite":
            if not url.database or url.database == ":memory:":
                return "", "This names no file, so nothing would be kept; name one."
            url = url.set(database=str(file.absolute().parent / url.database))
        whole = url.render_as_string(hide_password=False)
        open_store(whole).close()
    except ArgumentError:
        return "", (
            "Write an address like sqlite:///kestrels.sqlite or "
            "postgresql://clubplanner@db.example.org/kestrels."
        )
    except PlannerError as fault:
        return "", str(fault)
    return whole, ""


def _wrong_path(path: str) -> Iterator[str]:
    parts = path.split("/")[1:]
    if not all(_PATH_PART.fullmatch(part) for part in parts):
        yield "Write the path in letters of a to z, digits, “-”, “_”, “.” and “~”."
    if parts and parts[0] in SERVERS_OWN:
        yield f"Choose another path; “/{parts[0]}” is the server's own."


def _shared_records(file: Path, clubs: Sequence[KnownClub]) -> Iterator[Problem]:
    """Tell of clubs with the same records: one would read the other's."""
    first: dict[object, str] = {}
    for club in clubs:
        url = make_url(club.config.database)
        key: object = (url.host, url.port, url.database, str(url.query.get("options", "")))
        if url.get_backend_name() == "sqlite":
            key = Path(str(url.database)).resolve()
        other = first.setdefault(key, club.name)
        if other != club.name:
            words = f"These are the records of {other}; each club needs its own."
            yield Problem(f"{file.name}, {club.name}, records", "shared", words)


def _shared_places(file: Path, clubs: Sequence[KnownClub]) -> Iterator[Problem]:
    """Tell of clubs of which one lies within the other, on a host that both have."""
    for number, club in enumerate(clubs):
        for other in clubs[:number]:
            both = sorted(set(club.hosts) & set(other.hosts))
            if not both or not _is_within(club.path, other.path):
                continue
            words = (
                f"On {both[0]} this is the place of {other.name}, or one lies within the other; "
                "give each a host or a path of its own."
            )
            yield Problem(f"{file.name}, {club.name}, public_address", "shared", words)


def _is_within(one: str, other: str) -> bool:
    """Tell whether one path is the other, or below it, either way."""
    return f"{one}/".startswith(f"{other}/") or f"{other}/".startswith(f"{one}/")
