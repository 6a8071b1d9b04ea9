"""What the journal says of records other than bookings, in words: what was, what is."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING, Any

from clubplanner.domain.times.times import Window, clock_from_minute, day_in_short
from clubplanner.domain.times.windows import told_days, write_windows
from clubplanner.language import _, marked, quoted, sentence, term

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.store.tables.season_tables import ChangedRecordRow

DRAWN = {
    "polygon": marked("outline"),
    "areas": marked("areas"),
    "obstacles": marked("obstacles"),
    "goals": marked("goals"),
    "area_id": marked("ground"),
    "lifted_at": marked("whether it stands"),
    "revoked_at": marked("whether it opens"),
    "withdrawn_at": marked("whether it stands"),
    "dates": marked("dates"),
    "days": marked("periods"),
}
"""Fields whose states no sentence holds: it is said that they changed."""
NAMES = {
    "ask": marked("whom to ask"),
    "starts_on": marked("first day"),
    "ends_on": marked("last day"),
    "day": marked("date"),
    "is_on": marked("on"),
    "is_lit": marked("floodlights"),
    "is_indoor": marked("indoors"),
    "possible": marked("possible times"),
    "preferred": marked("preferred times"),
    "least_m2": marked("least m²"),
    "least_share": marked("least share of a pitch"),
    "least_format": marked("least format"),
    "no_day_before": marked("not the day before"),
    "no_day_after": marked("not the day after"),
    "most_in_a_row": marked("most evenings in a row"),
    "lights_off_min": marked("lights off at"),
    "way_in": marked("way in"),
    "parking": marked("parking"),
    "contact": marked("whom to call"),
    "phone_for_parents": marked("shown to parents whom to call"),
    "ended_at": marked("ended on"),
    "from_day": marked("from when"),
    "withdrawn_at": marked("called off"),
    "starts_at": marked("from when"),
    "ends_at": marked("until when"),
    "condition": marked("how far it is closed"),
    "reason": marked("why"),
    "words": marked("what is allowed"),
    "may_sign_in": marked("may sign in"),
    "may_change": marked("may change things"),
    "purpose": marked("what for"),
    "position": marked("place in the order"),
    "holder": marked("for whom"),
    "reminder_minutes": marked("reminder"),
    "is_coming": marked("comes"),
    "until_min": marked("over by"),
    "start_min": marked("from when"),
    "end_min": marked("until when"),
    "every_weeks": marked("weeks from one date to the next"),
    "skips_breaks": marked("breaks and public holidays left out"),
    "said_by": marked("said by"),
    "said_at": marked("said on"),
}
WINDOWS = ("possible", "preferred", "opening")
DATES = ("starts_on", "ends_on", "day", "from_day")
MOST_WORDS = 120
"""Longer values are said to have changed, not written out."""
ISO_DAY = re.compile(r"\d{4}-\d\d-\d\d")


def record_line(row: ChangedRecordRow) -> str:
    """Write one entry: "Break “Christmas”: last day Sun 3 Jan 2027, was Sat 2 Jan 2027"."""
    what = sentence(_named(row.sort, row.title))
    before, after = row.before, row.after
    if after is None:
        return _("%(what)s taken out%(before)s", what=what, before=_facts(before or {}))
    if before is None:
        return _("%(what)s added%(after)s", what=what, after=_facts(after))
    changes = [
        _difference(name, before.get(name), after.get(name))
        for name in after
        if before.get(name) != after.get(name)
    ]
    return f"{what}: {'; '.join(changes)}"


def summarise_records(rows: Sequence[ChangedRecordRow]) -> str:
    """Name or count what was done to records, for a change that nobody described."""
    counts: dict[tuple[str, str], int] = {}
    titles: dict[tuple[str, str], str] = {}
    for row in rows:
        if row.before is None:
            verb = marked("added")
        else:
            verb = marked("taken out") if row.after is None else marked("changed")
        counts[row.sort, verb] = counts.get((row.sort, verb), 0) + 1
        titles[row.sort, verb] = row.title
    return ", ".join(
        f"{_named(sort, titles[sort, verb])} {term(verb)}"
        if count == 1
        else f"{term(sort)}: {count} {term(verb)}"
        for (sort, verb), count in counts.items()
    )


def _named(sort: str, title: str) -> str:
    return term(sort) + (f" {quoted(title)}" if title else "")


def _facts(state: dict[str, Any]) -> str:
    """Write the dates of a record that came or went, which tell most of it."""
    days = [_value(name, state[name]) for name in DATES if name in state]
    between = _(" to ")
    return f" ({between.join(days)})" if days else ""


def _difference(name: str, was: Any, now: Any) -> str:
    label = term(NAMES.get(name, name.removesuffix("_min").replace("_", " ")))
    if name in DRAWN:
        return _("%(drawn)s changed", drawn=term(DRAWN[name]))
    if name == "asks":
        return _("asks for %(now)s, was %(was)s", now=_asks(now), was=_asks(was))
    new, old = _value(name, now), _value(name, was)
    if len(new) + len(old) > MOST_WORDS or new == old:
        return _("%(label)s changed", label=label)
    return _("%(label)s %(new)s, was %(old)s", label=label, new=new, old=old)


def _asks(asks: Sequence[dict[str, Any]] | None) -> str:
    if not asks:
        return _("nothing")
    return _(" and ").join(
        _(
            "%(sessions)s × %(minutes)s min in %(possible)s",
            sessions=ask["sessions"],
            minutes=ask["minutes"],
            possible=_value("possible", ask["possible"]),
        )
        for ask in asks
    )


def _value(name: str, value: Any) -> str:
    if value is None or value in ("", []):
        return _("none")
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if name in WINDOWS and isinstance(value, list):
        return told_days(write_windows(tuple(Window(*entry) for entry in value)))
    if isinstance(value, str) and ISO_DAY.match(value):
        day = date.fromisoformat(value[:10])
        return day_in_short(day)
    if isinstance(value, int) and name.endswith("_min"):
        return clock_from_minute(value)
    if isinstance(value, list):
        return ", ".join(str(entry) for entry in value)
    return str(value)
