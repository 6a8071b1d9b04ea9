"""What is proved about a proposal, and by what, in a line."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from clubplanner.language import _
from clubplanner.sharing.checks.certified import is_certified
from clubplanner.sharing.values.levels import PLACING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clubplanner.sharing.values.outcome import Outcome


def certificate_as_json(outcome: Outcome) -> dict[str, Any] | None:
    """Keep what prices prove: how many points at most, and whether the bound needs nothing else."""
    if outcome.certificate is None:
        return None
    return {"most": outcome.certificate.most, "is_bound": is_certified(outcome)}


def proof_in_words(saved: Mapping[str, Any]) -> str:
    """Say what proves that no plan places sessions better, or how much better one could be.

    Args:
        saved: A proposal as it is kept; those from before certificates were kept say nothing.

    Returns:
        A sentence or two; blank where nothing is proved, or it is not known by what.
    """
    level = next((one for one in saved["levels"] if one["name"] == PLACING), None)
    if level is None or "certificate" not in saved:
        return ""
    certificate = saved["certificate"]
    words = _(
        "Of points for sessions placed no plan has more than %(bound)s, and this one has "
        "%(value)s.",
        bound=level["bound"],
        value=level["value"],
    )
    if certificate is None:
        by = _("The search proved it; there is no short sum for it.")
    elif certificate["is_bound"]:
        by = _("Prices of the scarce hours prove it: anybody can check it by adding up.")
    else:
        by = _(
            "That none has more than %(most)s anybody can check by adding up prices of the "
            "scarce hours; the rest the search proved.",
            most=certificate["most"],
        )
    return f"{words} {by}"
