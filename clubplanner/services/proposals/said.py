"""How a proposal came about and ended: kept as a code and values, told in the reader's language.

Proposals of earlier releases hold a sentence instead, which is told as it is. Codes are never given
another meaning; names in values follow when something is renamed (`new_names`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from clubplanner.language import _, ngettext
from clubplanner.sharing.again.telling import again_in_words
from clubplanner.sharing.files.file_shapes import record_of
from clubplanner.sharing.files.json_shapes import Faults
from clubplanner.sharing.reasons.telling.places import place_told
from clubplanner.sharing.values.facts import Spot, spot_of
from clubplanner.sharing.values.outcome import CutShort, Kind, Level, ended_in_words, why_short
from clubplanner.sharing.values.problem import plain

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from clubplanner.sharing.again.reshare import Reshared
    from clubplanner.sharing.values.outcome import Outcome
    from clubplanner.sharing.values.problem import Placement, Problem


@dataclass(frozen=True, slots=True)
class Said:
    """What a proposal says of itself, without words.

    Attributes:
        code: What it tells of: "ended", "again", "by hand", "insisted", "turns", or "words".
        values: What that code needs, ready for JSON.
    """

    code: str
    values: Mapping[str, Any]

    @property
    def sentence(self) -> str:
        """The same in the language spoken now."""
        tell = _BY_CODE.get(self.code)
        if tell is None:
            return _("How this proposal ended cannot be told by this release.")
        return tell(self.values)


def said_of_outcome(outcome: Outcome) -> Said:
    """Say how a share-out ended."""
    values = {
        "kind": outcome.kind.value,
        "levels": [plain(level) for level in outcome.levels],
        "placed": outcome.placed,
        "asked": outcome.asked,
        "cut_short": outcome.cut_short.value,
    }
    return Said("ended", values)


def said_of_reshare(done: Reshared) -> Said:
    """Say how sharing out again ended."""
    values = {
        "placed": done.outcome.placed,
        "asked": done.outcome.asked,
        "lost": len(done.hit),
        "moved": len(done.disturbed),
        "is_fewest": done.is_fewest,
        "cut_short": done.outcome.cut_short.value,
    }
    return Said("again", values)


def said_by_hand(problem: Problem, place: Placement, placed: int) -> Said:
    """Say where somebody put a session by hand, and how many have a place then."""
    asked = sum(ask.sessions for ask in problem.asks)
    return Said("by hand", {**_session(problem, place), "placed": placed, "asked": asked})


def said_insisted(problem: Problem, place: Placement) -> Said:
    """Say which session was insisted on."""
    return Said("insisted", _session(problem, place))


def in_words(text: str) -> Said:
    """Say something of one language only."""
    return Said("words", {"text": text})


def said_as_json(said: Said) -> dict[str, Any]:
    """Write it as it is kept."""
    return {"code": said.code, "values": dict(said.values)}


def sentence_kept(kept: Mapping[str, Any] | None, sentence: str | None) -> str:
    """Tell what is kept of a proposal, in the language spoken now.

    Args:
        kept: As `said_as_json` gave it; None for one of an earlier release.
        sentence: The words that such a release kept.
    """
    return sentence or "" if kept is None else Said(kept["code"], kept["values"]).sentence


def _session(problem: Problem, place: Placement) -> dict[str, Any]:
    name = next(ask.squad_name for ask in problem.asks if ask.key == place.ask)
    return {"squad_name": name, "spot": record_of(Spot).write(spot_of(problem, place))}


def _place(values: Mapping[str, Any]) -> str:
    return place_told(record_of(Spot).read(values["spot"], "spot", Faults()))


def _ended(values: Mapping[str, Any]) -> str:
    levels = tuple(Level(**level) for level in values["levels"])
    cut_short = CutShort(values["cut_short"])
    kind = Kind(values["kind"])
    return ended_in_words(kind, levels, values["placed"], values["asked"], cut_short)


def _again(values: Mapping[str, Any]) -> str:
    return again_in_words(
        placed=values["placed"],
        asked=values["asked"],
        hit=values["lost"],
        disturbed=values["moved"],
        is_fewest=values["is_fewest"],
        cut_short=CutShort(values["cut_short"]),
    )


def _by_hand(values: Mapping[str, Any]) -> str:
    count = ngettext(
        "%(num)s of %(asked)s sessions has a place. Nothing is proved about it.",
        "%(num)s of %(asked)s sessions have a place. Nothing is proved about it.",
        values["placed"],
        asked=values["asked"],
    )
    return _(
        "By hand: %(squad_name)s on %(where)s. %(count)s",
        squad_name=values["squad_name"],
        where=_place(values),
        count=count,
    )


def _insisted(values: Mapping[str, Any]) -> str:
    return _(
        "Insisted on: %(squad)s on %(where)s. Nothing is proved about the plan as a whole.",
        squad=values["squad_name"],
        where=_place(values),
    )


def _turns(values: Mapping[str, Any]) -> str:
    changes, worst = values["changes"], values["worst"]
    words = _(
        "%(count)s sessions in %(groups)s take turns, with %(changes)s "
        "in all. Within a group burdens come to lie at most %(worst)s "
        "apart; without turns it would be up to %(was)s.",
        count=values["count"],
        groups=ngettext("%(num)s group", "%(num)s groups", values["groups"]),
        changes=ngettext("%(num)s change of place", "%(num)s changes of place", changes),
        worst=ngettext("%(num)s point", "%(num)s points", worst),
        was=values["was"],
    )
    cut_short = CutShort(values.get("cut_short", CutShort.NO))
    return words if cut_short is CutShort.NO else f"{words} {why_short(cut_short)}"


_BY_CODE: dict[str, Callable[[Mapping[str, Any]], str]] = {
    "ended": _ended,
    "again": _again,
    "by hand": _by_hand,
    "insisted": _insisted,
    "turns": _turns,
    "words": lambda values: str(values["text"]),
}
"""By code: how its values are told."""
