"""Spoilt files given to every reader, and what may not follow."""

from __future__ import annotations

import resource
import time
import traceback
from dataclasses import dataclass
from random import Random
from typing import TYPE_CHECKING

from tests.fuzz.files import draw_file, greedy_files
from tests.fuzz.judging import MOST_BYTES, MOST_SECONDS
from tests.fuzz.readers import READERS

if TYPE_CHECKING:
    from collections.abc import Iterator


@dataclass(frozen=True, slots=True)
class Spoilt:
    """A file that a reader does not bear.

    Attributes:
        what: In words; the same for the same fault.
        name: The file's.
        data: The file.
        more: Where it broke.
    """

    what: str
    name: str
    data: bytes
    more: str = ""


def spoil_for(reader: str, number: int, count: int) -> Iterator[Spoilt]:
    """Draw files for a reader from a number, and give those that it does not bear."""
    draw = Random(f"{reader} {number}")  # noqa: S311 - nothing secret is drawn
    for _ in range(count):
        kind = READERS[reader][0] if draw.random() < 0.8 else ""
        yield from read_within_bounds(reader, *draw_file(draw, kind))


LIKE_ANY = (".csv", ".json", "deep.wkt")


def greedy_for(reader: str, *, only_like: bool = False) -> Iterator[Spoilt]:
    """Give a reader every small file that asks for very much, or those of its own kind alone."""
    kinds = (READERS[reader][0] or ".kml", *LIKE_ANY)
    for name, data in greedy_files().items():
        if not only_like or name.endswith(kinds):
            yield from read_within_bounds(reader, name, data)


def read_within_bounds(reader: str, name: str, data: bytes) -> Iterator[Spoilt]:
    """Read a file, and give what may not be of it."""
    began, peak = time.process_time(), _peak()
    try:
        READERS[reader][1](data)
    except Exception as fault:  # noqa: BLE001, RUF100 - whatever it is, no reader may raise it
        last = traceback.extract_tb(fault.__traceback__)[-1]
        what = f"{reader}: {type(fault).__name__} {str(fault)[:80]} at {last.filename[-50:]}"
        yield Spoilt(f"{what}:{last.lineno}", name, data, traceback.format_exc()[-3000:])
    seconds, grown = time.process_time() - began, _peak() - peak
    if seconds > MOST_SECONDS:
        yield Spoilt(f"{reader}: slow", name, data, f"{seconds:.1f} s, {len(data)} bytes")
    if grown > MOST_BYTES:
        yield Spoilt(f"{reader}: grew", name, data, f"{grown // 1_000_000} MB, {len(data)} bytes")


def _peak() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
