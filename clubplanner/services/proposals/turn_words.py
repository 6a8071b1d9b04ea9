"""Turns as a page shows them: a picture, and the same as a table."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from string import ascii_uppercase
from typing import TYPE_CHECKING, Any

from clubplanner.domain.times.times import short_day
from clubplanner.language import _, ngettext, weekday_in_words
from clubplanner.outputs.charts.turn_chart import TurnRow, draw_turns

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True, slots=True)
class TurnLine:
    """One squad's turns.

    Attributes:
        squad_name: Whose.
        letters: Its place on each date.
        carried: Burden from the weeks that are over.
        burden: Its burden at the end, what it carried included.
        without: What it would be without turns.
        is_still: Whether it is kept where it is.
    """

    squad_name: str
    letters: tuple[str, ...]
    carried: int
    burden: int
    without: int
    is_still: bool


@dataclass(frozen=True, slots=True)
class TurnsShown:
    """The turns of one group.

    Attributes:
        day: Weekday.
        places: Letter and words of each place.
        dates: The dates, short.
        lines: A squad each.
        drawing: The picture, SVG.
        words: How even they are, a sentence.
    """

    day: str
    places: tuple[tuple[str, str], ...]
    dates: tuple[str, ...]
    lines: tuple[TurnLine, ...]
    drawing: str
    words: str


def turns_shown(saved: Mapping[str, Any]) -> TurnsShown:
    """Put one group's turns as a page shows them."""
    letters = [letter_of(n) for n in range(len(saved["slots"]))]
    dates = [date.fromisoformat(text) for text in saved["dates"]]
    weekday = weekday_in_words(dates[0].weekday()) if dates else saved["day"]
    columns = list(zip(*saved["turns"], strict=True))
    rows = [
        TurnRow(
            name,
            tuple(letters[slot] for slot in own),
            tuple(costs[slot] or 0 for slot in own),
        )
        for name, own, costs in zip(saved["squads"], columns, saved["burdens"], strict=True)
    ]
    lines = tuple(
        TurnLine(row.name, row.letters, carried, burden, without + carried, is_still)
        for row, carried, burden, without, is_still in zip(
            rows,
            saved["carried"],
            saved["totals"],
            [sum(costs[n] or 0 for _unused in dates) for n, costs in enumerate(saved["burdens"])],
            saved["still"],
            strict=True,
        )
    )
    low, high = min(line.burden for line in lines), max(line.burden for line in lines)
    proof = _proof(saved, high) if saved["is_proved"] else _("Not proved fairest.")
    words = ngettext(
        "%(num)s change of place; burdens from %(low)s to %(high)s at the "
        "end, from %(low_without)s to %(high_without)s without turns. %(proof)s",
        "%(num)s changes of place; burdens from %(low)s to %(high)s at the "
        "end, from %(low_without)s to %(high_without)s without turns. %(proof)s",
        saved["changes"],
        low=low,
        high=high,
        low_without=min(line.without for line in lines),
        high_without=max(line.without for line in lines),
        proof=proof,
    )
    title = _("Turns on %(day)s", day=weekday)
    return TurnsShown(
        day=weekday,
        places=tuple(zip(letters, saved["slots"], strict=True)),
        dates=tuple(short_day(day) for day in dates),
        lines=lines,
        drawing=draw_turns(
            rows, dates, title, _("%(words)s The table below has every turn.", words=words)
        ),
        words=words,
    )


def _proof(saved: Mapping[str, Any], worst: int) -> str:
    """Say what is proved of the worst burden; earlier releases did not keep that of the fairest."""
    fairest = saved.get("fairest_worst")
    if fairest is None:
        return _("Proved fairest but for about half a turn, which spares changes.")
    if worst <= fairest:
        return _("No turns have a smaller worst burden.")
    return _(
        "No turns have a worst burden below %(fairest)s; these pass it to spare changes.",
        fairest=fairest,
    )


def letter_of(number: int) -> str:
    """Name a place: A to Z, then AA, AB and so on."""
    if number < len(ascii_uppercase):
        return ascii_uppercase[number]
    first, second = divmod(number, len(ascii_uppercase))
    return ascii_uppercase[first - 1] + ascii_uppercase[second]
