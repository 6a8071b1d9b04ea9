"""Reading the form of an evening: who comes, with how many, and which ground is closed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.club.turnouts import LONGEST_MIN, MOST_PLAYERS, SHORTEST_MIN
from clubplanner.domain.times.times import MINUTES_A_DAY, clock_from_minute, minute_from_clock
from clubplanner.language import _
from clubplanner.services.proposals.proposals import GroundClosed
from clubplanner.services.share_out.tonight.page import clock_or_blank

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import date

    from clubplanner.services.share_out.tonight.page import (
        PitchTonight,
        SquadTonight,
        TonightPage,
    )
    from clubplanner.webapp.base.forms import Form

FIELDS = ("players", "keepers", "from", "to", "minutes")
MOST_REASON = 80


def shown_fields(squad: SquadTonight) -> dict[str, str]:
    """Return what the fields of a squad say before anybody types."""
    said = squad.said
    return {
        "players": "" if said.players is None else str(said.players),
        "keepers": "" if said.goalkeepers is None else str(said.goalkeepers),
        "from": clock_or_blank(said.from_min),
        "to": clock_or_blank(said.until_min),
        "minutes": "" if said.minutes is None else str(said.minutes),
    }


def fields_before(squad: SquadTonight) -> str:
    """Write down what a squad's fields said, so that only what somebody changed is kept."""
    return "|".join(["1" if squad.comes else "0", *shown_fields(squad).values()])


@dataclass(frozen=True, slots=True)
class _ForAll:
    """Times for all who come and have no place yet; None where none were typed."""

    window: tuple[int, int] | None
    minutes: int | None


def read_said(form: Form, page: TonightPage) -> dict[str, dict[str, int | bool | None]]:
    """Read what is said anew, by squad; a field that nobody touched is not said."""
    for_all = _ForAll(
        _window(form, "from-all", "to-all"), _whole(form, "minutes-all", SHORTEST_MIN, LONGEST_MIN)
    )
    said = {}
    for squad in page.squads:
        was = form.text(f"was-{squad.key}").split("|")
        if len(was) == 1 + len(FIELDS):
            fields = _said_of(form, squad, was, for_all)
            if fields:
                said[squad.key] = fields
    return said


def _said_of(
    form: Form, squad: SquadTonight, was: list[str], for_all: _ForAll
) -> dict[str, int | bool | None]:
    fields: dict[str, int | bool | None] = {}
    comes = f"on-{squad.key}" in form.values
    if comes != (was[0] == "1"):
        fields["is_coming"] = comes
    typed = [form.text(f"{name}-{squad.key}") for name in FIELDS]
    if typed[:2] != was[1:3]:
        fields.update(_numbers(form, squad))
    own = _window(form, f"from-{squad.key}", f"to-{squad.key}")
    if typed[2:4] != was[3:5]:
        fields["from_min"], fields["until_min"] = own or (None, None)
    if typed[4] != was[5]:
        fields["minutes"] = _whole(form, f"minutes-{squad.key}", SHORTEST_MIN, LONGEST_MIN)
    if comes and not squad.place:
        if for_all.window is not None and own is None:
            fields["from_min"], fields["until_min"] = for_all.window
        if for_all.minutes is not None and not typed[4]:
            fields["minutes"] = for_all.minutes
    return fields


def _numbers(form: Form, squad: SquadTonight) -> dict[str, int | bool | None]:
    """Read how many come; goalkeepers alone are counted among the usual number."""
    players = _whole(form, f"players-{squad.key}", 1, MOST_PLAYERS)
    keepers = _whole(form, f"keepers-{squad.key}", 0, MOST_PLAYERS)
    if keepers is not None and keepers > (squad.players if players is None else players):
        form.fault(
            f"keepers-{squad.key}",
            _("%(squad)s: goalkeepers are counted among the players.", squad=squad.name),
        )
    if keepers is not None and players is None:
        players = min(squad.players, MOST_PLAYERS)
    return {"players": players, "goalkeepers": keepers}


def _whole(form: Form, name: str, least: int, most: int) -> int | None:
    text = form.text(name)
    if not text:
        return None
    if not text.isdecimal() or len(text) > 4 or not least <= int(text) <= most:
        form.fault(
            name, _("Enter a whole number from %(least)s to %(most)s.", least=least, most=most)
        )
        return None
    return int(text)


def _window(form: Form, first: str, last: str) -> tuple[int, int] | None:
    """Read from when to when; both or neither."""
    if not form.text(first) and not form.text(last):
        return None
    start, end = form.minute(first), form.minute(last)
    if start is None or end is None:
        return None
    if end <= start:
        form.fault(last, _("The end must come after the start, on the same day."))
        return None
    return start, end


def read_closures(form: Form, page: TonightPage, day: date) -> tuple[GroundClosed, ...]:
    """Read which ground is closed, and which matches last longer than they were booked for."""
    found = []
    for pitch in page.pitches:
        ground = form.text(f"closed-{pitch.key}")
        if ground:
            if ground not in {area.value for area in pitch.areas}:
                form.fault(f"closed-{pitch.key}", _("This ground is no longer there."))
            span = _span(form, pitch.key)
            reason = form.text(f"reason-{pitch.key}", MOST_REASON) or _("Closed")
            found.append(GroundClosed(ground, day, day, *span, reason))
        found += _overrunning(form, pitch, day)
    return tuple(found)


def _overrunning(form: Form, pitch: PitchTonight, day: date) -> list[GroundClosed]:
    """Read the ground that matches hold after their time: it is closed for that long."""
    found = []
    for held in pitch.held:
        name = f"over-{held.number}"
        text = form.text(name)
        if not held.is_match or not text or text == clock_from_minute(held.ends_min):
            continue
        minute = form.minute(name)
        if minute is None:
            continue
        if minute <= held.ends_min:
            form.fault(name, _("Enter a time after its end; to shorten it, change its booking."))
            continue
        words = _("The match lasts longer")
        found.append(GroundClosed(held.ground, day, day, held.ends_min, minute, words))
    return found


def _span(form: Form, pitch: str) -> tuple[int, int]:
    """Read from when to when a pitch is closed; blank for from midnight and up to midnight."""
    ends = []
    for name, usual in ((f"closed-from-{pitch}", 0), (f"closed-to-{pitch}", MINUTES_A_DAY)):
        text = form.text(name)
        ends.append(usual)
        if text:
            try:
                ends[-1] = minute_from_clock(text)
            except ValueError:
                form.fault(name, _("Enter a time of day, like 17:30."))
    if ends[1] <= ends[0]:
        form.fault(f"closed-to-{pitch}", _("The end must come after the start, on the same day."))
    return ends[0], ends[1]


PITCH_FIELDS = ("closed", "closed-from", "closed-to", "reason")


def carried(
    form: Form,
    page: TonightPage,
    squads: Collection[SquadTonight],
    pitches: Collection[PitchTonight],
) -> list[tuple[str, str]]:
    """Return what was typed about squads and ground that are not shown, to travel with the form.

    Args:
        form: What was sent.
        page: The evening.
        squads: Those whose fields are shown.
        pitches: Those whose fields are shown.
    """
    here = {squad.key for squad in squads}
    found: list[tuple[str, str]] = []
    for squad in page.squads:
        names = [f"{name}-{squad.key}" for name in ("was", "on", *FIELDS)]
        if squad.key not in here and _is_touched(form, squad):
            found += [(name, form.values[name]) for name in names if name in form.values]
    there = {pitch.key for pitch in pitches}
    for pitch in page.pitches:
        if pitch.key in there:
            continue
        names = [f"{name}-{pitch.key}" for name in PITCH_FIELDS]
        names += [f"over-{held.number}" for held in pitch.held if held.is_match]
        found += [(name, form.values[name]) for name in names if form.values.get(name)]
    return found


def _is_touched(form: Form, squad: SquadTonight) -> bool:
    """Tell whether the fields of a squad say something else than before."""
    was = form.values.get(f"was-{squad.key}", "")
    comes = f"on-{squad.key}" in form.values
    says = [form.values.get(f"{name}-{squad.key}", "") for name in FIELDS]
    return bool(was) and was != "|".join(["1" if comes else "0", *says])
