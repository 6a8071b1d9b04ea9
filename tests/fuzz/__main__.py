"""The command: `python -m tests.fuzz requests|files [--first ROUND] [--rounds N] [--minutes M]`.

The time begins with the first request, once the club is made and all its routes are found.
Milliseconds are of the processor. Tells what it finds as soon as it finds it, and how much was
sent; `--as WHO` sends requests as one kind of person alone. A spoilt file that is not borne is kept
in the folder that `--keep` names.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.compiled_once import compiled_once
from tests.fuzz.club import WHO
from tests.fuzz.drawn_once import drawn_once
from tests.fuzz.readers import READERS
from tests.fuzz.rounds import EACH, open_site, run_round
from tests.fuzz.spoiling import greedy_for, spoil_for

FILES = 100
"""Files of a round for each reader."""


def main() -> int:
    """Send what is asked for and tell what it found; 1 if it found something."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("what", choices=["requests", "files"])
    parser.add_argument("--first", type=int, default=0, help="the first round")
    parser.add_argument("--rounds", type=int, default=1_000_000 // EACH)
    parser.add_argument(
        "--minutes", type=float, default=24 * 60.0, help="counted from the first request"
    )
    parser.add_argument("--as", dest="only", choices=WHO, help="who alone sends requests")
    parser.add_argument("--keep", type=Path, help="a folder for files that are not borne")
    wanted = parser.parse_args()
    if wanted.what == "files":
        return _spoil(wanted)
    with compiled_once(), drawn_once(), tempfile.TemporaryDirectory() as folder:
        return _send(Path(folder), wanted)


def _send(folder: Path, wanted: argparse.Namespace) -> int:
    found: Counter[str] = Counter()
    statuses: Counter[int] = Counter()
    site, offers = open_site(folder)
    print(f"{len(offers.routes)} routes, {sum(map(len, offers.forms.values()))} forms", flush=True)
    began, used_s, sent = time.monotonic(), time.process_time(), 0
    until = began + 60 * wanted.minutes
    for number in range(wanted.first, wanted.first + wanted.rounds):
        if time.monotonic() > until:
            break
        for finding in run_round(site, offers, number, statuses, only=wanted.only):
            found[finding.what] += 1
            if found[finding.what] == 1:
                print(f"round {number}: {finding.what}\n  {finding.attack.told()}", flush=True)
                print("  " + finding.more.replace("\n", "\n  "), flush=True)
        sent += EACH
        if number % 20 == 0:
            each_ms = 1000 * (time.process_time() - used_s) / sent
            print(f"round {number}: {sent} requests, {each_ms:.1f} ms each", flush=True)
    taken_s, used_s = time.monotonic() - began, time.process_time() - used_s
    print(f"{sent} requests in {taken_s:.0f} s, {sent / used_s:.0f} a second of the processor")
    print(f"{sent} requests: {dict(sorted(statuses.items()))}")
    for what, count in found.most_common():
        print(f"{count:7} {what}")
    return 1 if found else 0


def _spoil(wanted: argparse.Namespace) -> int:
    until = time.monotonic() + 60 * wanted.minutes
    found: Counter[str] = Counter()
    read = 0
    for number in range(wanted.first, wanted.first + wanted.rounds):
        if time.monotonic() > until:
            break
        for reader in READERS:
            greedy = greedy_for(reader) if number == wanted.first else ()
            for one in (*greedy, *spoil_for(reader, number, FILES)):
                found[one.what] += 1
                if found[one.what] == 1:
                    print(
                        f"round {number}: {one.what}\n  {one.name} {one.data[:300]!r}\n  {one.more}"
                    )
                    _keep(wanted.keep, f"{number}-{reader}", one.data)
        read += FILES * len(READERS)
        print(f"round {number}: {read} files", flush=True)
    for what, count in found.most_common():
        print(f"{count:7} {what}")
    return 1 if found else 0


def _keep(folder: Path | None, name: str, data: bytes) -> None:
    if folder is not None:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)


if __name__ == "__main__":
    sys.exit(main())
