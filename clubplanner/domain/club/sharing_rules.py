"""The club's own rules for sharing out: by age, and for the grass."""

from __future__ import annotations

from dataclasses import dataclass

from clubplanner.domain.club.spread import Evenings


@dataclass(frozen=True, slots=True)
class AgeRule:
    """What holds for squads up to an age.

    Attributes:
        up_to: Under so many years: 10 for U10 and younger.
        latest_finish_min: Sessions end by then; None for no rule.
        wear_percent: How much of a session counts against load limits.
        earliest_start_min: From Monday to Friday no session begins before; None for no rule.
    """

    up_to: int
    latest_finish_min: int | None = None
    wear_percent: int = 100
    earliest_start_min: int | None = None


@dataclass(frozen=True, slots=True)
class PitchLimit:
    """How much a pitch may be used in a week; names as people say them.

    Attributes:
        venue: Name of the venue.
        pitch: Name of the pitch.
        minutes: Most minutes of the whole pitch; None for no such limit.
        sessions: Most sessions; None for no such limit.
    """

    venue: str
    pitch: str
    minutes: int | None = None
    sessions: int | None = None


@dataclass(frozen=True, slots=True)
class SharingRules:
    """All of them.

    Attributes:
        ages: By age; the lowest that a squad's age does not pass counts.
        limits: Load limits of pitches.
        wants_compact: Whether pitches should have no dead time between sessions.
        evenings: How evenings should be filled.
    """

    ages: tuple[AgeRule, ...] = ()
    limits: tuple[PitchLimit, ...] = ()
    wants_compact: bool = False
    evenings: Evenings = Evenings.EVEN

    def for_age(self, age: int | None) -> AgeRule:
        """Return the rule for an age; adults (None) and older squads have none."""
        fitting = [rule for rule in self.ages if age is not None and age <= rule.up_to]
        return min(fitting, key=lambda rule: rule.up_to, default=AgeRule(99))


def rules_as_json(rules: SharingRules) -> dict[str, object]:
    """Write the rules as plain lists."""
    return {
        "ages": [
            [rule.up_to, rule.latest_finish_min, rule.wear_percent, rule.earliest_start_min]
            for rule in rules.ages
        ],
        "limits": [[it.venue, it.pitch, it.minutes, it.sessions] for it in rules.limits],
        "wants_compact": rules.wants_compact,
        "evenings": rules.evenings.value,
    }


def rules_from_json(saved: dict[str, list[list[int]]]) -> SharingRules:
    """Read what `rules_as_json` wrote."""
    return SharingRules(
        ages=tuple(AgeRule(*entry) for entry in saved["ages"]),
        limits=tuple(PitchLimit(*entry) for entry in saved["limits"]),  # type: ignore[arg-type]
        wants_compact=bool(saved["wants_compact"]),
        evenings=Evenings(str(saved.get("evenings", Evenings.EVEN))),  # older records do not say
    )
