"""The readers, each as a function from calendars to what it saw in them.

ical.js and node-ical run under Node, libical under the system's Python, vobject and
recurring_ical_events here. One call reads many calendars, as starting a process takes longest.
"""

from __future__ import annotations

import fcntl
import hashlib
import json
import os
import shutil
import subprocess
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import icalendar
import pytest
import recurring_ical_events
import vobject

if TYPE_CHECKING:
    from collections.abc import Mapping

HERE = Path(__file__).parent
SYSTEM_PYTHON = "/usr/bin/python3"
LONGEST_WAIT_S = 120


@dataclass(frozen=True, slots=True, order=True, kw_only=True)
class Seen:
    """An event as a reader shows it; instants in seconds since 1970 UTC."""

    uid: str
    starts_at_s: int
    ends_at_s: int
    title: str
    place: str
    description: str
    status: str
    sequence: int
    stamp_s: int


Reading = dict[str, list[Seen]]


def read_with_vobject(calendars: Mapping[str, bytes]) -> Reading:
    """Read with vobject, which takes a zone from the file's own description."""
    return {name: _sorted(_by_vobject(content)) for name, content in calendars.items()}


def read_with_recurring(calendars: Mapping[str, bytes]) -> Reading:
    """Read with recurring_ical_events, over a stretch of years."""
    return {name: _sorted(_by_recurring(content)) for name, content in calendars.items()}


def read_with_libical(calendars: Mapping[str, bytes]) -> Reading:
    """Read with Debian's libical in the system's Python."""
    probe = "import gi; gi.require_version('ICalGLib', '3.0')"
    if not Path(SYSTEM_PYTHON).exists() or _run([SYSTEM_PYTHON, "-c", probe]).returncode:
        skip("libical is missing: install Debian's packages python3-gi and gir1.2-ical-3.0")
    return _ask([SYSTEM_PYTHON, str(HERE / "read_with_libical.py")], calendars)


def read_with_ical_js(calendars: Mapping[str, bytes], packages: Path) -> Reading:
    """Read with ical.js under Node."""
    return _ask(["node", str(packages / "read_with_ical_js.mjs")], calendars)


def read_with_node_ical(calendars: Mapping[str, bytes], packages: Path) -> Reading:
    """Read with node-ical under Node."""
    return _ask(["node", str(packages / "read_with_node_ical.mjs")], calendars)


def install_node_readers(folder: Path) -> Path:
    """Install the Node readers at their pinned versions, once for as long as the pins stay.

    Args:
        folder: A place that outlives the run.

    Returns:
        A folder with the reading scripts and what they import.
    """
    missing = [name for name in ("node", "npm") if shutil.which(name) is None]
    if missing:
        skip(f"{' and '.join(missing)} missing: install Node to read feeds with its libraries")
    pins = [HERE / "package.json", HERE / "package-lock.json"]
    mark = hashlib.sha256(b"".join(path.read_bytes() for path in pins)).hexdigest()[:16]
    packages = folder / mark
    packages.mkdir(parents=True, exist_ok=True)
    with (folder / f"{mark}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        for path in (*pins, *HERE.glob("*.mjs")):
            shutil.copy(path, packages / path.name)
        if not (packages / "done").exists():
            command = ["npm", "ci", "--prefix", str(packages), "--no-audit", "--no-fund"]
            done = _run([*command, "--ignore-scripts"])
            if done.returncode:
                skip(f"npm could not install the readers: {done.stderr[-300:]}")
            (packages / "done").touch()
    return packages


def skip(reason: str) -> NoReturn:
    """Skip a test for want of a program; on the build server that is a failure."""
    if os.environ.get("CI"):
        pytest.fail(reason, pytrace=False)
    pytest.skip(reason)


def _ask(command: list[str], calendars: Mapping[str, bytes]) -> Reading:
    texts = {name: content.decode() for name, content in calendars.items()}
    done = _run(command, json.dumps(texts))
    assert done.returncode == 0, done.stderr[-2000:]
    found: dict[str, list[dict[str, Any]]] = json.loads(done.stdout)
    return {name: _sorted([Seen(**event) for event in found[name]]) for name in calendars}


def _run(command: list[str], given: str = "") -> subprocess.CompletedProcess[str]:
    # Another zone for the machine than any of the feeds', so that a guess shows.
    plain = {"PATH": os.environ["PATH"], "HOME": os.environ.get("HOME", "/"), "LC_ALL": "C.UTF-8"}
    return subprocess.run(
        command,
        input=given,
        env=plain | _npm_settings() | {"TZ": "Asia/Kolkata"},
        capture_output=True,
        encoding="utf-8",
        timeout=LONGEST_WAIT_S,
        check=False,
    )


def _npm_settings() -> dict[str, str]:
    """Return what of the environment tells npm and Python how to reach their sources."""
    ends = ("proxy", "PROXY", "CERTS", "CERT_FILE")
    return {
        name: value
        for name, value in os.environ.items()
        if name.lower().startswith("npm_config_") or name.endswith(ends)
    }


def _by_vobject(content: bytes) -> list[Seen]:
    vobject.icalendar.__tzidMap = {"UTC": vobject.icalendar.utc}  # it remembers zones by name
    return [
        Seen(
            uid=event.uid.value,
            starts_at_s=_seconds(event.dtstart.value),
            ends_at_s=_seconds(event.dtend.value),
            title=event.summary.value,
            place=_value(event, "location"),
            description=_value(event, "description"),
            status=event.status.value,
            sequence=int(event.sequence.value),
            stamp_s=_seconds(event.dtstamp.value),
        )
        for event in vobject.readOne(content.decode()).contents.get("vevent", [])
    ]


def _value(event: Any, name: str) -> str:
    return str(event.contents[name][0].value) if name in event.contents else ""


def _by_recurring(content: bytes) -> list[Seen]:
    found = recurring_ical_events.of(icalendar.Calendar.from_ical(content)).between(
        datetime(2000, 1, 1, tzinfo=UTC), datetime(2040, 1, 1, tzinfo=UTC)
    )
    return [
        Seen(
            uid=str(event["UID"]),
            starts_at_s=_seconds(event["DTSTART"].dt),
            ends_at_s=_seconds(event["DTEND"].dt),
            title=str(event["SUMMARY"]),
            place=str(event.get("LOCATION", "")),
            description=str(event.get("DESCRIPTION", "")),
            status=str(event["STATUS"]),
            sequence=int(event["SEQUENCE"]),
            stamp_s=_seconds(event["DTSTAMP"].dt),
        )
        for event in found
    ]


def _seconds(time: datetime) -> int:
    assert time.tzinfo is not None
    return int(time.timestamp())


def _sorted(events: list[Seen]) -> list[Seen]:
    return sorted(events)
