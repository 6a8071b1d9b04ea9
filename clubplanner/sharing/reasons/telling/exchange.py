"""The answer that stands first: whose session would make room, and why the plan has it so."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _, ngettext
from clubplanner.sharing.reasons.telling.places import place_told
from clubplanner.sharing.values.words import listed

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.sharing.values.facts import Facts, Loss


def exchange_told(facts: Facts) -> str:
    """Say which place would be free if who lost what, and why the plan has it this way round."""
    if facts.spot is None or not facts.losses:
        return ""
    place, first = place_told(facts.spot), facts.losses[0]
    if len(facts.losses) > 1:
        text = _(
            "%(place)s, if %(losses)s each lose a session; one of them alone makes no room, and "
            "no other two would be left with more.",
            place=place,
            losses=listed([_fall(loss) for loss in facts.losses]),
        )
    elif first.has == 1:
        text = _(
            "%(place)s, if %(squad)s lose their only session; nobody else who could make room "
            "would be left with more.",
            place=place,
            squad=first.squad_name,
        )
    else:
        text = _(
            "%(place)s, if %(squad)s lose one of %(count)s sessions (they fall from %(before)s to "
            "%(after)s %%); nobody else who could make room would be left with more.",
            place=place,
            squad=first.squad_name,
            count=first.has,
            before=first.before,
            after=first.after,
        )
    return f"{text} {_why_not(facts)}".strip()


def crowded_told(facts: Facts) -> str:
    """Say that it takes more than an exchange."""
    if facts.kind == "fixed":
        return _("Whoever could make room is pinned where they are, or is of the squad itself.")
    return ngettext(
        "Every place that would do is held by %(num)s session at least.",
        "Every place that would do is held by %(num)s sessions at least.",
        facts.number,
    )


def _fall(loss: Loss) -> str:
    """Write who would fall how far: "U13 Kites (from 70 to 50 %)"."""
    return _(
        "%(squad)s (from %(before)s to %(after)s %%)",
        squad=loss.squad_name,
        before=loss.before,
        after=loss.after,
    )


def _why_not(facts: Facts) -> str:
    """Say why the plan has it this way round."""
    tell = _WHY.get(facts.kind)
    if tell is None or facts.gain is None:
        return ""
    return tell(facts, min(facts.losses, key=lambda loss: loss.after), facts.gain)


def _fewer(_facts: Facts, _worst: Loss, _gain: Loss) -> str:
    return _("That would be one session fewer in all.")


def _only(_facts: Facts, worst: Loss, gain: Loss) -> str:
    return ngettext(
        "%(squad)s would have none, while %(own)s have %(num)s session.",
        "%(squad)s would have none, while %(own)s have %(num)s sessions.",
        gain.has,
        squad=worst.squad_name,
        own=gain.squad_name,
    )


def _priority(_facts: Facts, worst: Loss, _gain: Loss) -> str:
    return _(
        "Sessions of %(squad)s count more, by the priority they were given.",
        squad=worst.squad_name,
    )


def _lower(_facts: Facts, worst: Loss, gain: Loss) -> str:
    return _(
        "%(squad)s would then have less (%(after)s %%) than %(own)s have now (%(now)s %%).",
        squad=worst.squad_name,
        after=worst.after,
        own=gain.squad_name,
        now=gain.before,
    )


def _past(_facts: Facts, worst: Loss, gain: Loss) -> str:
    return _(
        "With what they had in earlier stretches, %(squad)s would then stand worse than "
        "%(own)s do now.",
        squad=worst.squad_name,
        own=gain.squad_name,
    )


def _short(_facts: Facts, _worst: Loss, _gain: Loss) -> str:
    return _("Those who have little would have less in all.")


def _less(facts: Facts, _worst: Loss, _gain: Loss) -> str:
    return ngettext(
        "The squads would have %(num)s wish point less in all.",
        "The squads would have %(num)s wish points less in all.",
        facts.number,
    )


def _better(_facts: Facts, _worst: Loss, _gain: Loss) -> str:
    return _("By the aims of the share-out that would be no worse; more time may settle it.")


def _even(_facts: Facts, _worst: Loss, _gain: Loss) -> str:
    return _("By the aims of the share-out that would be as good: it is for the club to decide.")


_WHY: dict[str, Callable[[Facts, Loss, Loss], str]] = {
    "fewer": _fewer,
    "only": _only,
    "priority": _priority,
    "lower": _lower,
    "past": _past,
    "short": _short,
    "less": _less,
    "better": _better,
    "even": _even,
}
"""By the kind of an exchange, why the plan has it the other way round: by the first aim that does
not see both as equal. Values are the facts, who would be worst off of those who lose, who gains."""
