"""What a result says that is not derived again: field by field, each with its reason.

A test bends every field of several results in every way it can: what the check then does not see
must be a field named here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.sharing.values.outcome import EARLIER_SHAPE, Reason

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.values.outcome import Outcome


@dataclass(frozen=True, slots=True)
class Believed:
    """Something that is believed.

    Attributes:
        fields: Where it stands in a result's file, without the numbers of entries; with what lies
            under it.
        why: What is believed of it, and why, in a phrase.
    """

    fields: tuple[str, ...]
    why: str


_REASONS, _CHANGES = "$.refusals[].reasons[]", "$.refusals[].changes[]"

NOT_CHECKED = (
    Believed(
        ("$.levels[].bound", "$.levels[].gap", "$.levels[].is_proved"),
        "bounds that are tighter than what prices come to, and with them gaps and proofs: they hold"
        " what the search has proved, which is not done again; nor that a search which proved too"
        " little did not come to later aims that are missing",
    ),
    Believed(
        ("$.levels[].value", "$.levels[].name"),
        "values of the later aims of a re-share: they need the plan that stood before",
    ),
    Believed(
        (
            "$.certificate",
            "$.certificate.parts",
            "$.certificate.ground_prices",
            "$.certificate.person_prices",
        ),
        "that prices are the best there are, or that there are none: what they prove is added up"
        " again, and other prices that come to the same are as good",
    ),
    Believed(
        (f"{_REASONS}.text", f"{_CHANGES}.text", "$.contradictions[].text"),
        "texts, the words that earlier releases kept: there only codes, and that those named are in"
        " the plan, are checked; values are derived again",
    ),
    Believed(
        ("$.refusals[].reasons",),
        "that whoever is named for an exchange would have most left, that there is no exchange"
        " where none is named, that a place named as free is the one liked best of those, and what"
        " was left out for lack of time",
    ),
    Believed(
        ("$.refusals[].changes",),
        "that no other change helps, and that the place found is the best: what a change gives is"
        " checked",
    ),
    Believed(
        ("$.traded", "$.traded[].before"),
        "what aims had before days and evenings were worked on: that plan is not kept",
    ),
    Believed(
        ("$.shape",),
        "which release told it: one that says none, or the first shape, is of an earlier release",
    ),
    Believed(
        ("$.seconds", "$.is_repeatable", "$.cut_short"),
        "seconds, whether the same again gives the same plan, and what ended the search early: they"
        " tell of the run",
    ),
)
"""Everything that is believed of every result."""

NOT_NAMED = Believed(
    ("$.refusals[].reasons[].code",),
    "whether a place was left free for those of whom it only says that it is not settled: the"
    " release that wrote this result did not name such places",
)
"""What is believed besides of some results of earlier releases."""
OPEN = Reason("open")
"""That it is not settled, and no place named that was left free."""


def is_place_believed(outcome: Outcome, told: Sequence[Reason]) -> bool:
    """Tell whether reasons may leave out a place left free, as earlier releases told them."""
    return outcome.shape == EARLIER_SHAPE and OPEN in told


def not_checked(outcome: Outcome) -> tuple[Believed, ...]:
    """List what is believed of a result."""
    is_open = any(is_place_believed(outcome, refusal.reasons) for refusal in outcome.refusals)
    return (*NOT_CHECKED, NOT_NAMED) if is_open else NOT_CHECKED
