"""Busy times of others on our ground: joined, cut at midnight, compared with what is booked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.booked.closures import day_pieces
from clubplanner.domain.times.times import TimeRange

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from zoneinfo import ZoneInfo

TITLE_LIMIT = 200


@dataclass(frozen=True, slots=True, order=True)
class BusyPiece:
    """A stretch of time within one local day that is taken.

    Attributes:
        during: From when to when.
        title: What for; may be blank.
    """

    during: TimeRange
    title: str


def join_busy(times: Iterable[tuple[TimeRange, str]], zone: ZoneInfo) -> tuple[BusyPiece, ...]:
    """Join times that overlap, and cut what is left at each local midnight.

    Times that only touch stay apart: they are two bookings of theirs.

    Returns:
        Pieces in order, no two of which overlap.
    """
    joined: list[tuple[TimeRange, tuple[str, ...]]] = []
    for during, title in sorted(times):
        last = joined[-1] if joined else None
        if last is not None and during.starts_at < last[0].ends_at:
            whole = TimeRange(last[0].starts_at, max(last[0].ends_at, during.ends_at))
            joined[-1] = (whole, (*last[1], title))
        else:
            joined.append((during, (title,)))
    return tuple(
        BusyPiece(piece, _one_title(titles))
        for during, titles in joined
        for piece in day_pieces(during, zone)
    )


@dataclass(frozen=True, slots=True)
class BusyDifference:
    """What has to change so that what is booked is what the calendar says.

    Attributes:
        gone: Numbers of bookings that the calendar no longer has.
        fresh: Pieces that are not booked yet.
    """

    gone: tuple[int, ...]
    fresh: tuple[BusyPiece, ...]


def compare_busy(booked: Mapping[int, BusyPiece], wanted: Iterable[BusyPiece]) -> BusyDifference:
    """Compare what is booked for a calendar with what it says."""
    left = set(wanted)
    gone = []
    for number, piece in booked.items():
        if piece in left:
            left.remove(piece)
        else:
            gone.append(number)
    return BusyDifference(tuple(sorted(gone)), tuple(sorted(left)))


def _one_title(titles: tuple[str, ...]) -> str:
    words = " / ".join(dict.fromkeys(title for title in titles if title))
    return words if len(words) <= TITLE_LIMIT else words[: TITLE_LIMIT - 1] + "…"
