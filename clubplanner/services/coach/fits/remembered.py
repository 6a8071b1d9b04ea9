"""Answers of what fits, remembered by a process while everything that they hang on stays as it is.

What fits is a pure function of the ground, who is beside it, the kit, the numbers and who reads it.
An answer is remembered under a digest of all these values, and of no number of a row: ground drawn
anew, a goal moved or a squad of another age make another question.
"""

from __future__ import annotations

import hashlib
import pickle
import zlib
from collections import OrderedDict
from dataclasses import fields, is_dataclass
from datetime import date
from functools import lru_cache
from threading import Lock
from typing import TYPE_CHECKING, Any, TypeVar

import shapely
from shapely.geometry.base import BaseGeometry

from clubplanner.domain.ground.grounds import Pitch
from clubplanner.domain.ground.orientation.facing import chosen_facing
from clubplanner.domain.ground.orientation.measures import chosen_measure
from clubplanner.language import spoken

if TYPE_CHECKING:
    from collections.abc import Callable

    from _typeshed import DataclassInstance

    from clubplanner.services.coach.fits.fit_places import FitPlace, FitWish

_Answer = TypeVar("_Answer")

MOST_BYTES = 16_000_000
"""What answers may take in memory: some thousand, which are fifty evenings of typing."""
MOST_PITCHES = 256
"""Pitches whose digest is kept."""


def question(place: FitPlace, wish: FitWish) -> str:
    """Return a digest of everything that an answer hangs on: every value, and who reads it.

    Args:
        place: The ground; a field that is added to it, to a pitch or to an area counts by itself.
        wish: What is asked.

    Raises:
        TypeError: If there is a value of which it is not known when it is the same.
    """
    who_reads = (spoken(), chosen_measure(), chosen_facing())
    return digest_of(_plain(place), _plain(wish), *who_reads)


def digest_of(*known: object) -> str:
    """Return a digest of plain values, the same in every process."""
    return hashlib.sha256(repr(known).encode()).hexdigest()


class Answers:
    """The last answers, packed; those longest not asked for go first.

    Threads may share it. Two that ask the same at the same time both work it out.
    """

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        """Begin without any.

        Args:
            most_bytes: What packed answers may take together.
        """
        self._most_bytes = most_bytes
        self._bytes = 0
        self._packed: OrderedDict[str, bytes] = OrderedDict()
        self._lock = Lock()

    def get_or_make(self, key: str, make: Callable[[], _Answer]) -> _Answer:
        """Return the answer to a question: the one remembered, else a new one to remember."""
        found: _Answer | None = self.get(key)
        if found is None:
            found = make()
            self._put(key, zlib.compress(pickle.dumps(found), 1))
        return found

    def get(self, key: str) -> Any:
        """Return the answer remembered for a question; None without one."""
        with self._lock:
            packed = self._packed.get(key)
            if packed is None:
                return None
            self._packed.move_to_end(key)
        return pickle.loads(zlib.decompress(packed))  # noqa: S301  of our own making alone

    def forget(self) -> None:
        """Drop every answer."""
        with self._lock:
            self._packed.clear()
            self._bytes = 0

    @property
    def taken_bytes(self) -> int:
        """What the answers take."""
        return self._bytes

    def _put(self, key: str, packed: bytes) -> None:
        with self._lock:
            self._bytes += len(packed) - len(self._packed.pop(key, b""))
            self._packed[key] = packed
            while self._bytes > self._most_bytes:
                self._bytes -= len(self._packed.popitem(last=False)[1])


ANSWERS = Answers()
"""Of this process, whatever clubs it serves: their values are in the question."""


@lru_cache(maxsize=MOST_PITCHES)
def _pitch_digest(pitch: Pitch) -> str:
    return digest_of(*_fields(pitch))


def _fields(value: DataclassInstance) -> tuple[object, ...]:
    return tuple(_plain(getattr(value, field.name)) for field in fields(value))


def _plain(value: object) -> object:
    """Put a value as tuples of plain ones: equal ones come out equal, others never."""
    if isinstance(value, BaseGeometry):
        return shapely.to_wkb(value, hex=True), shapely.get_precision(value)
    if isinstance(value, Pitch):
        return _pitch_digest(value)
    if is_dataclass(value) and not isinstance(value, type):
        return type(value).__name__, *_fields(value)
    if isinstance(value, list | tuple):
        return tuple(map(_plain, value))
    if value is None or isinstance(value, str | int | float | date):
        return value
    raise TypeError(f"no digest of {type(value).__name__}")
