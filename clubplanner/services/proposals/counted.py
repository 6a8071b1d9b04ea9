"""How many sessions a change adds, moves, keeps and withdraws, without what it does not do."""

from __future__ import annotations

from clubplanner.language import _, ngettext, sentence

COUNTED = ("added", "moved", "kept", "withdrawn")


def count_changes(*, added: int, moved: int, kept: int, withdrawn: int) -> str:
    """Count changes in words, a clause: "12 sessions added, 3 moved"."""
    with_noun = (
        (added, ngettext("%(num)s session added", "%(num)s sessions added", added)),
        (moved, ngettext("%(num)s session moved", "%(num)s sessions moved", moved)),
        (kept, ngettext("%(num)s session kept", "%(num)s sessions kept", kept)),
        (withdrawn, ngettext("%(num)s session withdrawn", "%(num)s sessions withdrawn", withdrawn)),
    )
    further = (
        _("%(count)s added", count=added),
        _("%(count)s moved", count=moved),
        _("%(count)s kept", count=kept),
        _("%(count)s withdrawn", count=withdrawn),
    )
    told = [n for n, (count, _words) in enumerate(with_noun) if count]
    words = [with_noun[n][1] if n == told[0] else further[n] for n in told]
    return ", ".join(words) or _("nothing changes")


def count_signs(*, new: int, moved: int, gone: int) -> str:
    """Count what a drawn week shows, a sentence: "2 new, 1 moved."."""
    parts = (
        (new, _("%(count)s new", count=new)),
        (moved, _("%(count)s moved", count=moved)),
        (gone, _("%(count)s without a place here any more", count=gone)),
    )
    told = ", ".join(words for count, words in parts if count) or _("nothing changes")
    return sentence(told) + "."
