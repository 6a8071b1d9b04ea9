"""The waiting list: who is next when ground becomes free."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import datetime


class AskState(StrEnum):
    """What has become of an ask."""

    WAITING = "waiting"
    GRANTED = "granted"
    REFUSED = "refused"
    TAKEN_BACK = "taken back"


class SwapState(StrEnum):
    """What has become of an offer to swap."""

    OFFERED = "offered"
    ACCEPTED = "accepted"
    DECLINED = "declined"
    TAKEN_BACK = "taken back"


@dataclass(frozen=True, slots=True)
class InLine:
    """Somebody on the waiting list.

    Attributes:
        number: The ask's number.
        squad_key: Whose.
        asked_at: When, UTC.
    """

    number: int
    squad_key: str
    asked_at: datetime


def fair_order(
    waiting: Iterable[InLine], granted: Mapping[str, int], served: Mapping[str, float]
) -> tuple[InLine, ...]:
    """Put a waiting list in the order of fair turns.

    First whoever has been granted least from this list so far, each ask further down counting as
    one more; of these whoever is served worst; of these whoever asked first.

    Args:
        waiting: The asks.
        granted: Squad key → how many asks of this list were granted so far; 0 when left out.
        served: Squad key → hours had over hours asked for; 1 when left out.
    """
    turns: dict[str, int] = dict(granted)
    left = sorted(waiting, key=lambda one: (one.asked_at, one.number))
    order = []
    while left:
        following = min(
            left,
            key=lambda one: (
                turns.get(one.squad_key, 0),
                served.get(one.squad_key, 1.0),
                one.asked_at,
                one.number,
            ),
        )
        left.remove(following)
        order.append(following)
        turns[following.squad_key] = turns.get(following.squad_key, 0) + 1
    return tuple(order)
