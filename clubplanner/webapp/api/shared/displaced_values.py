"""Sessions that have to go for something, and where each goes, as the API tells and takes them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pydantic import Field

from clubplanner.webapp.api.frame.values import Name, Number, Value, example

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from clubplanner.services.places.displaced import Displaced

MOVED = {
    "booking": 17,
    "holder": "U12 Kestrels",
    "purpose": "training",
    "when": "Wed 25 Nov, 18:00–19:15",
    "place": "Clubhouse third, Top pitch",
    "choices": [{"value": "3@1795630800", "words": "Middle third, Top pitch"}],
    "chosen": "3@1795630800",
}
DECIDED = {"booking": 17, "value": "withdraw"}


class ChoiceValue(Value):
    """What may be chosen."""

    model_config = example(value="withdraw", words="Give it up")

    value: str = Field(description="What a decision says.")
    words: str


class DisplacedValue(Value):
    """A session that has to go."""

    model_config = example(**MOVED)

    booking: int
    holder: str
    purpose: str
    when: str = Field(description="Date and local times.")
    place: str = Field(description="The ground it has now.")
    choices: list[ChoiceValue] = Field(description="Free ground, nearest first.")
    chosen: str = Field(description="The value proposed; “withdraw” where there is no ground.")


class Decision(Value):
    """Where one displaced session goes."""

    model_config = example(**DECIDED)

    booking: Number
    value: Name = Field(description="One of its choices, or “withdraw”.")


def displaced_values(displaced: Iterable[Displaced]) -> list[DisplacedValue]:
    """Return displaced sessions as they go out."""
    return [
        DisplacedValue(
            booking=one.number,
            holder=one.holder,
            purpose=one.purpose,
            when=one.when,
            place=one.place,
            choices=[ChoiceValue(value=c.value, words=c.words) for c in one.choices],
            chosen=one.chosen,
        )
        for one in displaced
    ]


def decisions_of(decided: Sequence[Decision] | None) -> dict[int, str] | None:
    """Return decisions by booking; None where what is proposed is taken."""
    return None if decided is None else {one.booking: one.value for one in decided}
