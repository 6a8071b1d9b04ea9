"""A plan's week in words and figures: how far apart, how even, and what that cost."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.domain.money.amounts import tell_amount
from clubplanner.language import _, ngettext, short_weekday, term, weekday_in_words
from clubplanner.services.proposals.weeks.facts import NearCause
from clubplanner.services.rows.club.money_rows import load_terms
from clubplanner.sharing.files.file_shapes import record_of
from clubplanner.sharing.files.json_shapes import Faults
from clubplanner.sharing.reasons.telling.places import place_told
from clubplanner.sharing.values.facts import Spot
from clubplanner.sharing.values.levels import COST, WHOLE_WEEK, WISHES
from clubplanner.sharing.values.words import listed, points_told
from clubplanner.store.tables.ground_tables import VenueRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sqlalchemy.orm import Session


@dataclass(frozen=True, slots=True)
class NearShown:
    """Squads with sessions on neighbouring days, or on one day, for one reason.

    Attributes:
        why: Why it is so, a sentence.
        squads: Each with its days: "U13 Kestrels (Monday and Tuesday)".
    """

    why: str
    squads: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WayShown:
    """A change of one session that would set its squad's sessions further apart.

    Attributes:
        words: Whose, where instead of where, who would make way, and what each gains or loses.
        place: Number of the session in its proposal, from 0; None where it is not there.
    """

    words: str
    place: int | None


@dataclass(frozen=True, slots=True)
class EveningsShown:
    """How full the evenings of a venue are.

    Attributes:
        venue: Its name.
        counts: Sessions on each day of the week that is told; None where it is closed.
        words: The same in one line.
    """

    venue: str
    counts: tuple[int | None, ...]
    words: str


@dataclass(frozen=True, slots=True)
class WeekShown:
    """What is told of a plan's week.

    Attributes:
        apart: How many squads have sessions on neighbouring days, a sentence; may be blank.
        near: Those squads, by reason.
        ways: Single changes that would set such sessions further apart, each with what it costs.
        ways_note: What these are, or that none was found, a sentence; may be blank.
        days: Those on which anything is open, short.
        evenings: By venue, those without a session left out.
        cost: What it cost that the week is so, sentences.
    """

    apart: str
    near: tuple[NearShown, ...]
    ways: tuple[WayShown, ...]
    ways_note: str
    days: tuple[str, ...]
    evenings: tuple[EveningsShown, ...]
    cost: tuple[str, ...]


def week_shown(session: Session, saved: Mapping[str, Any]) -> WeekShown | None:
    """Put in words what is kept of a proposal's week; None where nothing is.

    Args:
        session: Where names of venues and the money are read.
        saved: A proposal as it is stored.
    """
    week = saved.get("week")
    if week is None:
        return None
    rows = session.execute(select(VenueRow.key, VenueRow.name)).all()
    names = {row.key: row.name for row in rows}
    days = sorted({day for entry in week["evenings"] for day, _count in entry["days"]})
    return WeekShown(
        apart=_apart(week["several"], len(week["near"])),
        near=tuple(_near_shown(cause, week["near"]) for cause in _causes(week["near"])),
        ways=_ways(week, saved),
        ways_note=_ways_note(week),
        days=tuple(short_weekday(day) for day in days),
        evenings=tuple(
            _evenings(names.get(entry["venue"], entry["venue"]), dict(entry["days"]), days)
            for entry in week["evenings"]
            if any(count for _day, count in entry["days"])
        ),
        cost=tuple(_cost(week["traded"], load_terms(session).currency)),
    )


def _evenings(venue: str, counts: Mapping[int, int], days: Sequence[int]) -> EveningsShown:
    told = ", ".join(f"{weekday_in_words(day)} {counts[day]}" for day in days if day in counts)
    return EveningsShown(venue, tuple(counts.get(day) for day in days), f"{venue}: {told}")


def _apart(several: int, near: int) -> str:
    if not several:
        return ""
    if not near:
        return ngettext(
            "The one squad that trains more than once a week has a day in between.",
            "All %(num)s squads that train more than once a week have a day in between.",
            several,
        )
    return ngettext(
        "%(num)s of %(several)s squads that train more than once a week has trainings on "
        "neighbouring days:",
        "%(num)s of %(several)s squads that train more than once a week have trainings on "
        "neighbouring days:",
        near,
        several=several,
    )


def _causes(near: Sequence[Mapping[str, Any]]) -> list[NearCause]:
    found = {one["cause"] for one in near}
    return [cause for cause in NearCause if cause in found]


def _near_shown(cause: NearCause, near: Sequence[Mapping[str, Any]]) -> NearShown:
    squads = tuple(
        f"{one['squad_name']} ({listed([weekday_in_words(day) for day in one['days']])})"
        for one in near
        if one["cause"] == cause
    )
    return NearShown(_why(cause), squads)


def _ways(week: Mapping[str, Any], saved: Mapping[str, Any]) -> tuple[WayShown, ...]:
    places = {
        (item["ask"], item["session"]): number
        for number, item in enumerate(saved.get("placements", ()))
    }
    return tuple(
        WayShown(_way(way), places.get((way["ask"], way["session"])))
        for way in week.get("ways", ())
    )


def _way(way: Mapping[str, Any]) -> str:
    told = _(
        "%(squad_name)s: %(place)s in place of %(old)s (%(points)s)",
        squad_name=way["squad_name"],
        place=_spot(way["place"]),
        old=_spot(way["old"]),
        points=points_told(way["points"]),
    )
    if not way["moves"]:
        return f"{told}."
    moves = [
        _(
            "%(squad_name)s moves to %(place)s (%(points)s)",
            squad_name=move["squad_name"],
            place=_spot(move["place"]),
            points=points_told(move["points"]),
        )
        for move in way["moves"]
    ]
    return _("%(told)s, if %(moves)s.", told=told, moves=listed(moves))


def _spot(saved: Mapping[str, Any]) -> str:
    return place_told(record_of(Spot).read(saved, "spot", Faults()))


def _ways_note(week: Mapping[str, Any]) -> str:
    """Say what the changes are that set sessions apart, and how far they were looked for."""
    looked_at, ways = week.get("looked_at", 0), week.get("ways", ())
    if not looked_at:
        return ""
    if not ways:
        return _(
            "No change of one session, with at most two others making way, would set them "
            "further apart."
        )
    return _(
        "Single changes that would set trainings further apart, and what each costs. Nobody loses "
        "a session by them; the share-out does not make them where fairness or wishes count more. "
        "You can, by hand: each holds for the plan as it is, so look again after the first. Squads "
        "looked at: %(looked_at)s; with such a change: %(ways)s.",
        ways=len(ways),
        looked_at=looked_at,
    )


def _why(cause: NearCause) -> str:
    if cause is NearCause.OWN_DAYS:
        return _("The days on which they can train leave nothing better.")
    if cause is NearCause.BY_HAND:
        return _("They were put there by hand.")
    if cause is NearCause.WISHED:
        return _("They are the days that they would like.")
    if cause is NearCause.OTHERS:
        return _(
            "Places, fairness and wishes count more; it is proved that they leave no plan with "
            "fewer trainings near each other."
        )
    return _(
        "Places, fairness and wishes count more; whether they leave a better plan is not known. "
        "More time may find one."
    )


def _cost(traded: Sequence[Mapping[str, Any]], currency: str) -> list[str]:
    """Tell what was given up for the week; figures are of the plan before and of this one."""
    found = {item["name"]: (item["before"], item["now"]) for item in traded}
    if WISHES not in found:
        return []
    before, now = found[WISHES]
    lines = [
        _(
            "Points for granted wishes: %(before)s before days and evenings were looked at, "
            "%(now)s now. Sessions, fairness and the sum of wishes come before them.",
            before=before,
            now=now,
        )
    ]
    lines += [
        _(
            "%(aim)s, points: %(before)s before, %(now)s now; less is better.",
            aim=_begun(term(name)),
            before=found[name][0],
            now=found[name][1],
        )
        for name in WHOLE_WEEK
        if name in found
    ]
    if COST in found:
        before, now = found[COST]
        lines.append(
            _(
                "What the club pays in a week: %(before)s before, %(now)s now. The plan before "
                "had not been looked at for cost.",
                before=tell_amount(before, currency),
                now=tell_amount(now, currency),
            )
        )
    return lines


def _begun(words: str) -> str:
    return words[:1].upper() + words[1:]
