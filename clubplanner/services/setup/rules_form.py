"""The rules of sharing out by form: what holds by age, and how much a pitch may be used."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.club.squads import age_from_group
from clubplanner.domain.problems import Problem
from clubplanner.domain.times.times import clock_from_minute
from clubplanner.errors import FaultyInputError, OutdatedError
from clubplanner.inputs.club_files.rules import read_age_rule, read_pitch_limit
from clubplanner.language import _
from clubplanner.services.rows.snapshot import load_club
from clubplanner.services.setup.club_forms import digest, number_typed
from clubplanner.services.setup.club_rows import ClubWriter
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.sharing_rules import AgeRule, PitchLimit, SharingRules
    from clubplanner.store.engine import Store

AGE_FIELDS = ("up_to", "latest_finish", "earliest_start", "wear_percent")
LIMIT_FIELDS = ("minutes", "sessions")
MOST_AGES = 30
"""Lines by age; each age from 3 on could have one."""
TICKED = "yes"


@dataclass(frozen=True, slots=True)
class RulesForm:
    """The rules as their form shows them.

    Attributes:
        cells: What stands: the fields of the n-th age as `up_to_n`, those of the n-th limited
            pitch as `minutes_n`, and "compact", which is `TICKED` where pitches are to have no
            gaps.
        ages: How many lines by age stand.
        limited: What the limited pitches are called, in order.
        pitches: The pitches that have no limit yet.
        seen: What stands now, as a digest: a form sends it back, so that the later of two is told.
    """

    cells: dict[str, str]
    ages: int
    limited: tuple[str, ...]
    pitches: tuple[Choice, ...]
    seen: str


def see_rules(store: Store) -> RulesForm:
    """Return the rules as they stand.

    Raises:
        NoClubError: If there is no club yet.
    """
    with store.read() as session:
        rules = load_club(session).rules
        limited = {(plain_name(it.venue), plain_name(it.pitch)) for it in rules.limits}
        pitches = tuple(
            Choice(key, name, group=venue)
            for key, name, venue in _pitches(session)
            if (plain_name(venue), plain_name(name)) not in limited
        )
    cells = _cells(rules)
    return RulesForm(
        cells,
        len(rules.ages),
        tuple(f"{it.pitch}, {it.venue}" for it in rules.limits),
        pitches,
        digest(cells),
    )


def save_rules(store: Store, cells: Mapping[str, str], seen: str, now: datetime) -> None:
    """Write the rules; a line whose fields are all blank is none.

    Args:
        store: The club's records.
        cells: As in `RulesForm`; besides, "pitch" with `minutes_new` and `sessions_new` limits one
            more.
        seen: What stood when the form was shown.
        now: When.

    Raises:
        FaultyInputError: With every fault; `where` is the field.
        OutdatedError: If somebody changed the rules since the form was shown.
    """
    typed = {name: text.strip() for name, text in cells.items()}
    with store.write() as session:
        club = load_club(session)
        if digest(_cells(club.rules)) != seen:
            raise OutdatedError(
                _(
                    "Somebody has changed the rules in the meantime; look at what stands now, "
                    "then save yours again."
                )
            )
        problems: list[Problem] = []
        ages = _read_ages(typed, problems)
        limits = _read_limits(session, typed, club.rules.limits, problems)
        if problems:
            raise FaultyInputError(problems)
        rules = replace(
            club.rules, ages=ages, limits=limits, wants_compact=typed.get("compact") == TICKED
        )
        describe_change(session, _("changed the rules of sharing out"))
        ClubWriter(session, now).write_club(replace(club, rules=rules))


def _read_ages(typed: Mapping[str, str], problems: list[Problem]) -> tuple[AgeRule, ...]:
    """Return the rules by age, the youngest first."""
    found: dict[int, AgeRule] = {}
    for number in range(1, MOST_AGES + 1):
        line = {field: typed.get(f"{field}_{number}", "") for field in AGE_FIELDS}
        if not any(line.values()):
            continue
        years = age_from_group(line["up_to"])
        values: dict[str, object] = {field: text for field, text in line.items() if text}
        if line["up_to"]:
            values["up_to"] = number_typed(line["up_to"]) if years is None else years
        if line["wear_percent"]:
            values["wear_percent"] = number_typed(line["wear_percent"].rstrip(" %"))
        rule, faults = read_age_rule(values)
        problems += (replace(one, where=f"{one.where}_{number}") for one in faults)
        if rule is None:
            continue
        if rule.up_to in found:
            text = _("Another line says what holds for this age; put both into one.")
            problems.append(Problem(f"up_to_{number}", "repeated", text))
        found[rule.up_to] = rule
    return tuple(found[up_to] for up_to in sorted(found))


def _read_limits(
    session: Session,
    typed: Mapping[str, str],
    stands: Sequence[PitchLimit],
    problems: list[Problem],
) -> tuple[PitchLimit, ...]:
    lines = {str(number): (it.venue, it.pitch) for number, it in enumerate(stands, 1)}
    chosen = typed.get("pitch", "")
    for key, name, venue in _pitches(session):
        if key == chosen:
            lines["new"] = (venue, name)
    found = []
    for number, (venue, pitch) in lines.items():
        values: dict[str, object] = {"venue": venue, "pitch": pitch}
        for field in LIMIT_FIELDS:
            if text := typed.get(f"{field}_{number}", ""):
                values[field] = number_typed(text)
        if number != "new" and len(values) == 2:
            continue
        limit, faults = read_pitch_limit(values)
        problems += (replace(one, where=f"{one.where or 'minutes'}_{number}") for one in faults)
        if limit is not None:
            found.append(limit)
    if "new" not in lines and any(typed.get(f"{field}_new") for field in LIMIT_FIELDS):
        problems.append(Problem("pitch", "missing", _("Choose the pitch that the limit is for.")))
    return tuple(found)


def _pitches(session: Session) -> list[tuple[str, str, str]]:
    """Return key, name and venue's name of every pitch, in the club's order."""
    rows = session.execute(
        select(PitchRow.key, PitchRow.name, VenueRow.name)
        .join(PitchRow.venue)
        .order_by(VenueRow.position, VenueRow.id, PitchRow.position, PitchRow.id)
    )
    return [(key, name, venue) for key, name, venue in rows]


def _cells(rules: SharingRules) -> dict[str, str]:
    cells = {"compact": TICKED if rules.wants_compact else ""}
    for number, rule in enumerate(rules.ages, 1):
        latest, earliest = rule.latest_finish_min, rule.earliest_start_min
        cells |= {
            f"up_to_{number}": f"U{rule.up_to}",
            f"latest_finish_{number}": "" if latest is None else clock_from_minute(latest),
            f"earliest_start_{number}": "" if earliest is None else clock_from_minute(earliest),
            f"wear_percent_{number}": "" if rule.wear_percent == 100 else str(rule.wear_percent),
        }
    for number, limit in enumerate(rules.limits, 1):
        cells[f"minutes_{number}"] = "" if limit.minutes is None else str(limit.minutes)
        cells[f"sessions_{number}"] = "" if limit.sessions is None else str(limit.sessions)
    return cells
