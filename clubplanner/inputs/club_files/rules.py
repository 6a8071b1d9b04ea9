"""The club's rules for sharing out: what holds by age, and how much a pitch may be used."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.club.sharing_rules import AgeRule, PitchLimit
from clubplanner.inputs.reading.alone import read_alone
from clubplanner.inputs.reading.toml_tables import NO_LIMIT
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clubplanner.domain.problems import Problem
    from clubplanner.inputs.reading.toml_tables import TomlTable


def read_age_rule(values: Mapping[str, object]) -> tuple[AgeRule | None, tuple[Problem, ...]]:
    """Read the keys of one `[[ages]]` given by themselves; `where` of a problem is the key."""
    return read_alone(values, age_rule)


def read_pitch_limit(
    values: Mapping[str, object],
) -> tuple[PitchLimit | None, tuple[Problem, ...]]:
    """Read the keys of one `[[limits]]` given by themselves; `where` of a problem is the key."""
    return read_alone(values, pitch_limit)


def age_rule(table: TomlTable) -> AgeRule | None:
    """Read one `[[ages]]`; None with a fault."""
    finish = table.clock("latest_finish", "24:00")
    start = table.clock("earliest_start", "00:00")
    rule = AgeRule(
        up_to=table.whole("up_to", 3, 99, 0),
        latest_finish_min=finish if finish < 24 * 60 else None,
        wear_percent=table.whole("wear_percent", 0, 1000, 100),
        earliest_start_min=start or None,
    )
    return rule if table.done() else None


def pitch_limit(table: TomlTable) -> PitchLimit | None:
    """Read one `[[limits]]`; None with a fault."""
    venue, pitch = table.name("venue"), table.name("pitch")
    minutes = table.whole("minutes", 0, 7 * 24 * 60, NO_LIMIT)
    sessions = table.whole("sessions", 0, 9_999, NO_LIMIT)
    if not table.failed and minutes == sessions == NO_LIMIT:
        table.fault("", "missing", _("Write minutes or sessions a week, or both"))
    limit = PitchLimit(
        venue,
        pitch,
        None if minutes == NO_LIMIT else minutes,
        None if sessions == NO_LIMIT else sessions,
    )
    return limit if table.done() else None
