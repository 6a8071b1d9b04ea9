"""Changes that would help, in words: by themselves first, then where there would be room."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _, sentence, term
from clubplanner.sharing.reasons.telling.places import day_told, place_told
from clubplanner.sharing.rules.people.rest import rest_in_words
from clubplanner.sharing.values.words import clock, listed, part_of_pitch, square_metres

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.sharing.values.facts import Facts
    from clubplanner.sharing.values.outcome import Change


def tell_change(change: Change) -> str:
    """Say what would help, and where there would then be room."""
    return told_change(change.code, change.facts, change.text)


def told_change(code: str, facts: Facts, text: str = "") -> str:
    """Say what a change of a code says; words that were kept come as they are."""
    if text:
        return text
    if facts.spot is None:
        return _("What was kept of this change cannot be told by this release.")
    where = place_told(facts.spot)
    if code == "others move":
        moves = [
            _(
                "%(squad_name)s moves to %(place_and_time)s",
                squad_name=one.squad_name,
                place_and_time=place_told(one.spot),
            )
            for one in facts.moves
        ]
        return _("There is room on %(place)s if %(moves)s.", place=where, moves=listed(moves))
    return _(
        "%(what)s: there is room on %(where)s, with everyone else where they are.",
        what=sentence(change_by_itself(code, facts)),
        where=where,
    )


def change_by_itself(code: str, facts: Facts) -> str:
    """Say a change without its place: "a quarter of a pitch instead of a third"."""
    tell = _BY_CODE.get(code)
    return code if tell is None else tell(facts)


def _shorter(facts: Facts) -> str:
    return _("%(minutes)s minutes instead of %(asked)s", minutes=facts.number, asked=facts.asked)


def _other_time(facts: Facts) -> str:
    return _("up to %(wider)s minutes earlier or later", wider=facts.number)


def _other_day(facts: Facts) -> str:
    if facts.spot is None:
        return _("on another day")
    return _("on %(day)s, too", day=day_told(facts.spot.day))


def _later_finish(facts: Facts) -> str:
    return _(
        "an end at %(until)s instead of %(asked)s, the latest finish",
        until=clock(facts.number),
        asked=clock(facts.asked),
    )


def _earlier_start(facts: Facts) -> str:
    return _(
        "a start at %(start)s instead of %(asked)s, the earliest start",
        start=clock(facts.number),
        asked=clock(facts.asked),
    )


def _rest(facts: Facts) -> str:
    asked = rest_in_words(facts.asked)
    if not facts.number:
        return _("no day of rest between sessions instead of %(asked)s", asked=asked)
    return _(
        "%(rest)s between sessions instead of %(asked)s",
        rest=rest_in_words(facts.number),
        asked=asked,
    )


def _free_days(_facts: Facts) -> str:
    return _("without the day kept free before or after")


def _smaller(facts: Facts) -> str:
    if facts.part and facts.asked_part:
        part, asked = part_of_pitch(facts.part), part_of_pitch(facts.asked_part)
        if part != asked:
            return _("%(part)s instead of %(asked)s", part=part, asked=asked)
    if facts.area_m2 and facts.asked_m2:
        return _(
            "%(part)s instead of %(asked)s",
            part=square_metres(facts.area_m2),
            asked=square_metres(facts.asked_m2),
        )
    return _("on less ground")


def _other_surface(facts: Facts) -> str:
    if not facts.names:
        return _("on another surface")
    return _("on another surface (%(surface)s)", surface=term(facts.names[0]))


def _other_format(facts: Facts) -> str:
    return _("without room for %(least_format)s", least_format=listed(facts.names))


_BY_CODE: dict[str, Callable[[Facts], str]] = {
    "shorter": _shorter,
    "other time": _other_time,
    "other day": _other_day,
    "later finish": _later_finish,
    "earlier start": _earlier_start,
    "rest": _rest,
    "free days": _free_days,
    "smaller": _smaller,
    "other surface": _other_surface,
    "without goal": lambda _facts: _("without a goal"),
    "without light": lambda _facts: _("without floodlights"),
    "other venue": lambda _facts: _("at another venue"),
    "other format": _other_format,
}
"""By the code of a change: how it is told by itself."""
