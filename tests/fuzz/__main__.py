"""The command: `python -m tests.fuzz requests|files [--first ROUND] [--rounds N] [--minutes M]`.

The time begins with the first request, once the club is made and all its routes are found.
Milliseconds are of the processor. Tells what it finds as soon as it finds it, and how much was
sent. With `--go-on FOLDER` the same words go on where it was, however it ended, and what was found
is that of all goes. `--as WHO` sends requests as one kind of person alone. A spoilt file that is
not borne is kept in the folder that `--keep` names.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

from tests.compiled_once import compiled_once
from tests.fuzz.club import WHO
from tests.fuzz.drawn_once import drawn_once
from tests.fuzz.kept import open_progress
from tests.fuzz.readers import READERS
from tests.fuzz.rounds import EACH, open_site, run_round
from tests.fuzz.spoiling import greedy_for, spoil_for

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.fuzz.kept import Progress

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
    parser.add_argument("--go-on", type=Path, help="a folder that keeps how far it is")
    parser.add_argument("--keep", type=Path, help="a folder for files that are not borne")
    wanted = parser.parse_args()
    progress = open_progress(wanted.what, wanted.first, wanted.go_on)
    if wanted.what == "files":
        return _spoil(wanted, progress)
    with compiled_once(), drawn_once(), tempfile.TemporaryDirectory() as folder:
        return _send(Path(folder), wanted, progress)


def _send(folder: Path, wanted: argparse.Namespace, progress: Progress) -> int:
    site, offers = open_site(folder)
    print(f"{len(offers.routes)} routes, {sum(map(len, offers.forms.values()))} forms", flush=True)
    before, used_before_s, began = progress.sent, progress.used_s, time.monotonic()
    for number in _rounds(progress, wanted):
        began_s = time.process_time()
        for finding in run_round(site, offers, number, progress.statuses, only=wanted.only):
            progress.note(finding.what, f"{finding.attack.told()}\n{finding.more}")
        progress.end_round(EACH, time.process_time() - began_s)
        if number % 20 == 0:
            sent, used_s = progress.sent - before, progress.used_s - used_before_s
            each_ms = 1000 * used_s / sent
            print(f"round {number}: {sent} requests, {each_ms:.1f} ms each", flush=True)
    taken_s = time.monotonic() - began
    sent, used_s = progress.sent - before, progress.used_s - used_before_s
    print(f"{sent} requests in {taken_s:.0f} s, {sent / max(used_s, 1e-9):.0f} a second of the "
          "processor")  # fmt: skip
    print(f"{progress.sent} requests in all: {dict(sorted(progress.statuses.items()))}")
    return _end(progress)


def _rounds(progress: Progress, wanted: argparse.Namespace) -> Iterator[int]:
    """Yield the rounds to come, until the time is up."""
    until = time.monotonic() + 60 * wanted.minutes
    for number in range(progress.following, progress.following + wanted.rounds):
        if time.monotonic() > until:
            return
        yield number


def _end(progress: Progress) -> int:
    for what, count in progress.found.most_common():
        print(f"{count:7} {what}")
    return 1 if progress.found else 0


def _spoil(wanted: argparse.Namespace, progress: Progress) -> int:
    for number in _rounds(progress, wanted):
        began_s = time.process_time()
        for reader in READERS:
            greedy = greedy_for(reader) if number == wanted.first else ()
            for one in (*greedy, *spoil_for(reader, number, FILES)):
                if one.what not in progress.first:
                    _keep(wanted.keep, f"{number}-{reader}", one.data)
                progress.note(one.what, f"{one.name} {one.data[:300]!r}\n{one.more}")
        progress.end_round(FILES * len(READERS), time.process_time() - began_s)
        print(f"round {number}: {progress.sent} files", flush=True)
    return _end(progress)


def _keep(folder: Path | None, name: str, data: bytes) -> None:
    if folder is not None:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)


if __name__ == "__main__":
    sys.exit(main())
