"""What a check of turns says, in words and as JSON."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from clubplanner.services.share_out.files.files_of_turns import CheckedTurns, Evenness


def turns_in_words(done: CheckedTurns) -> list[str]:
    """Write what was found, how even each group is, and what is not checked."""
    sound = "Everybody has a place on every date, by every rule, and what was checked is true."
    lines = [*(done.faults or [sound])]
    lines += [_group_in_words(group) for group in done.groups]
    lines += [f"Not checked: {what.why}." for what in done.not_checked]
    return lines


def _group_in_words(group: Evenness) -> str:
    words = (
        f"{group.day}, {', '.join(group.squads)}: burdens from {group.low} to {group.high} at the"
        f" end. Added up from prices: no turns have a worst burden below {group.least_worst}."
    )
    if group.is_added_up:
        return f"{words} The fairest turns found have just that."
    says = "the search says that there are none fairer" if group.is_proved else "nobody says more"
    return f"{words} The fairest turns found have {group.fairest_worst}; {says}."


def turns_as_json(done: CheckedTurns) -> dict[str, object]:
    """Write the same for a program, with the members that a check of any result has."""
    return {
        "is_true": not done.faults,
        "faults": list(done.faults),
        "is_by_hand": False,
        "certified": None,
        "sum": None,
        "turns": None if done.faults else [asdict(group) for group in done.groups],
        "not_checked": [asdict(what) for what in done.not_checked],
    }
