"""The words of a mail about changed bookings: what was, what is, and how long it is light."""

from __future__ import annotations

from dataclasses import dataclass, field
from html import escape
from typing import TYPE_CHECKING

from clubplanner.domain.booked.state_words import reason_in_words
from clubplanner.domain.times.times import (
    clock_in_zone,
    day_in_words,
    end_clock_in_zone,
    short_day_from_today,
)
from clubplanner.domain.times.zones import zone_from_name
from clubplanner.language import _, in_running_text, ngettext, spoken
from clubplanner.outputs.plain_text import one_line

if TYPE_CHECKING:
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.state_words import Told
    from clubplanner.outputs.calendars.feed import FeedEvent

GROUND_LIMIT = 300
"""Characters of a piece of ground in words."""


@dataclass(frozen=True, slots=True)
class Holding:
    """Ground that a squad had, and when.

    Attributes:
        starts_at: Aware.
        ends_at: Aware, after `starts_at`; not included.
        ground: Exactly which, in words, with pitch and venue.
    """

    starts_at: datetime
    ends_at: datetime
    ground: str


@dataclass(frozen=True, slots=True)
class ChangeNotice:
    """What happened to one booking since the squad last heard of it.

    Attributes:
        event: The booking as the feed shows it now.
        told: What is true of it, to whoever reads it on the day on which it is sent.
        ground: Exactly which ground it holds now, in words, with pitch and venue; for a withdrawn
            booking the ground that it held last.
        was: What the squad was told before; None for a new booking.
        light_until: Until when there is light on the ground; None if not known or always.
        light_from: From when in the morning; None if not known or always.
        is_back: Whether the squad was last told that it is off.
        squad_name: Whose it is, where a mail tells of several squads; else blank.
        is_left: It goes on, but whoever is told is no longer written to about the squad.
    """

    event: FeedEvent
    told: Told
    ground: str
    was: Holding | None = None
    light_until: datetime | None = None
    light_from: datetime | None = None
    is_back: bool = False
    squad_name: str = ""
    is_left: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """What text, HTML and subject are made from.

    Attributes:
        squad_name: One line.
        zone: IANA name of the venue's time zone.
        changes: In the order in which they are told.
        address: The mail address written to.
        pages: Each squad's name and page; empty where none may be opened any more.
        mail_off_url: Turns mails to the address off.
    """

    squad_name: str
    zone: str
    changes: tuple[ChangeNotice, ...]
    address: str
    pages: tuple[tuple[str, str], ...] = field(repr=False)
    mail_off_url: str = field(repr=False)


def subject_of(words: Words) -> str:
    """Return the subject: outcome, day, squad and time within what a telephone shows of it."""
    first = words.changes[0]
    zone = zone_from_name(words.zone)
    if all(change.is_left for change in words.changes):
        return _("%(squad_name)s: no longer in your calendar", squad_name=words.squad_name)
    day = first.event.starts_at.astimezone(zone).date()
    reason = reason_in_words(first.told.state.reason)
    rest = reason if first.event.is_withdrawn else first.ground
    parts = (words.squad_name, clock_in_zone(first.event.starts_at, zone), rest)
    outcome = _(
        "%(outcome)s %(when)s: %(rest)s",
        outcome=_label(first),
        when=short_day_from_today(day, first.told.today),
        rest=one_line(", ".join(part for part in parts if part), GROUND_LIMIT),
    )
    others = len(words.changes) - 1
    if not others:
        return outcome
    return ngettext(
        "%(first)s; %(num)s more change", "%(first)s; %(num)s more changes", others, first=outcome
    )


def text_of(words: Words) -> str:
    """Return the mail as plain text."""
    zone = zone_from_name(words.zone)
    parts = [_opening(words)]
    for change in words.changes:
        rows = [f"  {label}: {value}" for label, value in _rows(change, zone)]
        parts.append("\n".join([_heading(change, zone), *rows]))
    if words.pages:
        pages = "\n".join(
            f"{name}: {url}" if len(words.pages) > 1 else url for name, url in words.pages
        )
        parts.append(_("The page shows how things stand now:\n%(page_url)s", page_url=pages))
    parts.append(f"{_why(words)}\n{words.mail_off_url}")
    return "\n\n".join(parts) + "\n"


def html_of(words: Words) -> str:
    """Return the mail as HTML: no style sheet, no script, nothing fetched from anywhere."""
    zone = zone_from_name(words.zone)
    parts = [f"<p>{escape(_opening(words))}</p>"]
    for change in words.changes:
        rows = "<br>\n".join(
            f"{escape(label)}: <bdi>{escape(value)}</bdi>" for label, value in _rows(change, zone)
        )
        parts.append(f"<p><strong>{escape(_heading(change, zone))}</strong><br>\n{rows}</p>")
    off = escape(words.mail_off_url)
    stands, turn_off = escape(_("The page shows how things stand now")), escape(_("Turn off"))
    for name, page in words.pages:
        before = f"<bdi>{escape(name)}</bdi>: " if len(words.pages) > 1 else ""
        parts.append(f'<p>{before}<a href="{escape(page)}">{stands}</a></p>')
    why = escape(_why(words))
    parts.append(f'<p style="font-size:14px">{why} <a href="{off}">{turn_off}</a></p>')
    body = "\n".join(parts)
    return (
        f'<!doctype html>\n<html lang="{spoken()}">\n'
        f'<head><meta charset="utf-8"><meta name="color-scheme" content="light dark">\n'
        f"<title>{escape(subject_of(words))}</title></head>\n"
        f'<body style="font-family:sans-serif;font-size:16px">\n{body}\n</body>\n</html>\n'
    )


def _opening(words: Words) -> str:
    if all(change.is_left for change in words.changes):
        return _(
            "%(squad_name)s: you are no longer written to about them, so what was mailed to you is "
            "taken out of your calendar. The sessions themselves go on.",
            squad_name=words.squad_name,
        )
    if len(words.changes) == 1 and words.changes[0].told.headline:
        headline = one_line(words.changes[0].told.headline, 2 * GROUND_LIMIT)
        return f"{headline} ({words.squad_name})"
    return ngettext(
        "%(squad_name)s: %(num)s booking changed.",
        "%(squad_name)s: %(num)s bookings changed.",
        len(words.changes),
        squad_name=words.squad_name,
    )


def _why(words: Words) -> str:
    return _(
        "This went to %(address)s because it is noted for %(squad_name)s. Mails to "
        "this address can be turned off:",
        address=words.address,
        squad_name=words.squad_name,
    )


def _label(change: ChangeNotice) -> str:
    """Name the outcome; where the session is as planned, what is new about it."""
    if change.told.label:
        return change.told.label
    if change.was is not None:
        return _("Changed")
    return _("On again") if change.is_back else _("New")


def _heading(change: ChangeNotice, zone: ZoneInfo) -> str:
    heading = _heading_of_one(change, zone)
    if not change.squad_name:
        return heading
    return f"{one_line(change.squad_name, GROUND_LIMIT)}, {heading}"


def _heading_of_one(change: ChangeNotice, zone: ZoneInfo) -> str:
    day = day_in_words(change.event.starts_at.astimezone(zone).date())
    if change.is_left:
        return _("%(day)s: no longer yours", day=day)
    return _("%(day)s: %(outcome)s", day=day, outcome=in_running_text(_label(change)))


def _rows(change: ChangeNotice, zone: ZoneInfo) -> list[tuple[str, str]]:
    event = change.event
    now = _when_and_where(Holding(event.starts_at, event.ends_at, change.ground), zone)
    was = None if change.was is None else _when_and_where(change.was, zone)
    if change.is_left:
        return [(_("was"), was or now)]
    reason = one_line(reason_in_words(change.told.state.reason), GROUND_LIMIT)
    why = [(_("why"), reason)] if reason else []
    if event.is_withdrawn:
        nothing = _("nothing; this ground is no longer held for you")
        return [*why, (_("was"), was or now), (_("is"), nothing)]
    rows = [*why, *([(_("was"), was)] if was else []), (_("is"), now)]
    rows += [(_("condition"), one.sentence) for one in change.told.state.conditions]
    if change.light_from is not None and event.starts_at < change.light_from:
        rows.append((_("light"), _late_light(change.light_from, zone)))
    if change.light_until is not None:
        rows.append((_("light"), _light(change.light_until, event.ends_at, zone)))
    return rows


def _when_and_where(holding: Holding, zone: ZoneInfo) -> str:
    day = day_in_words(holding.starts_at.astimezone(zone).date())
    times = f"{clock_in_zone(holding.starts_at, zone)}–{end_clock_in_zone(holding.ends_at, zone)}"
    return f"{day}, {times}, {one_line(holding.ground, GROUND_LIMIT)}"


def _late_light(dawn: datetime, zone: ZoneInfo) -> str:
    return _(
        "from %(clock)s only, after the booking begins; stay off the ground until then",
        clock=clock_in_zone(dawn, zone),
    )


def _light(until: datetime, ends_at: datetime, zone: ZoneInfo) -> str:
    clock = clock_in_zone(until, zone)
    if until >= ends_at:
        return _("until %(clock)s", clock=clock)
    return _(
        "until %(clock)s only, before the booking ends; plan to be off the ground by then",
        clock=clock,
    )
