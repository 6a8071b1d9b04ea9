"""How sharing out again ended, in the language of whoever reads it."""

from __future__ import annotations

from clubplanner.language import _, ngettext
from clubplanner.sharing.values.outcome import CutShort, why_short


def again_in_words(
    *,
    placed: int,
    asked: int,
    hit: int,
    disturbed: int,
    is_fewest: bool,
    cut_short: CutShort = CutShort.NO,
) -> str:
    """Say how a re-share ended in words for the secretary.

    Args:
        placed: Sessions with a place.
        asked: Sessions asked for.
        hit: How many squads lose a place whatever is done.
        disturbed: How many could have stayed and do not.
        is_fewest: Whether it is proved that fewer cannot be.
        cut_short: What ended the search before its time.
    """
    count = ngettext(
        "%(num)s of %(asked)s sessions has a place",
        "%(num)s of %(asked)s sessions have a place",
        placed,
        asked=asked,
    )
    fewest = _("proved fewest") if is_fewest else _("not proved")
    lost = ngettext(
        "%(count)s squad loses a place by the change",
        "%(count)s squads lose a place by the change",
        hit,
        count=hit,
    )
    if not hit:
        lost = _("No squads lose a place by the change")
    others = ngettext(
        "%(count)s other squad is disturbed (%(fewest)s)",
        "%(count)s other squads are disturbed (%(fewest)s)",
        disturbed,
        count=disturbed,
        fewest=fewest,
    )
    if not disturbed:
        others = _("no other squads are disturbed (%(fewest)s)", fewest=fewest)
    words = f"{count}. {lost}; {others}."
    return words if cut_short is CutShort.NO else f"{words} {why_short(cut_short)}"
