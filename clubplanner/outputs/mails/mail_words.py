"""The words of a mail about changed bookings: what was, what is, and how long it is light."""

from __future__ import annotations

from dataclasses import dataclass, field
from html import escape
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import clock_in_zone, day_in_words
from clubplanner.domain.times.zones import zone_from_name
from clubplanner.language import _, ngettext, spoken
from clubplanner.outputs.plain_text import one_line

if TYPE_CHECKING:
    from datetime import datetime
    from zoneinfo import ZoneInfo

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
        ground: Exactly which ground it holds now, in words, with pitch and venue; for a withdrawn
            booking the ground that it held last.
        was: What the squad was told before; None for a new booking.
        light_until: Until when there is light on the ground; None if not known or always.
    """

    event: FeedEvent
    ground: str
    was: Holding | None = None
    light_until: datetime | None = None


@dataclass(frozen=True, slots=True)
class Words:
    """What text, HTML and subject are made from.

    Attributes:
        squad_name: One line.
        zone: IANA name of the venue's time zone.
        changes: In the order in which they are told.
        address: The mail address written to.
        page_url: The squad's page.
        mail_off_url: Turns mails to the address off.
    """

    squad_name: str
    zone: str
    changes: tuple[ChangeNotice, ...]
    address: str
    page_url: str = field(repr=False)
    mail_off_url: str = field(repr=False)


def subject_of(words: Words) -> str:
    """Return the subject: what to know without opening the mail."""
    first = words.changes[0]
    zone = zone_from_name(words.zone)
    day = day_in_words(first.event.starts_at.astimezone(zone).date())
    if len(words.changes) > 1:
        return _(
            "%(squad_name)s: %(changes)s changes, the first on %(day)s",
            squad_name=words.squad_name,
            changes=len(words.changes),
            day=day,
        )
    if first.event.is_withdrawn:
        return _("%(squad_name)s: %(day)s is off", squad_name=words.squad_name, day=day)
    kind = _("new") if first.was is None else _("changed")
    clock = clock_in_zone(first.event.starts_at, zone)
    return f"{words.squad_name}: {kind}, {day}, {clock}, {one_line(first.ground, GROUND_LIMIT)}"


def text_of(words: Words) -> str:
    """Return the mail as plain text."""
    zone = zone_from_name(words.zone)
    parts = [_opening(words)]
    for change in words.changes:
        rows = [f"  {label}: {value}" for label, value in _rows(change, zone)]
        parts.append("\n".join([_heading(change, zone), *rows]))
    parts.append(_("The page shows how things stand now:\n%(page_url)s", page_url=words.page_url))
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
    page, off = escape(words.page_url), escape(words.mail_off_url)
    stands, turn_off = escape(_("The page shows how things stand now")), escape(_("Turn off"))
    parts.append(f'<p><a href="{page}">{stands}</a></p>')
    why = escape(_why(words))
    parts.append(f'<p style="color:#555555">{why} <a href="{off}">{turn_off}</a></p>')
    body = "\n".join(parts)
    return (
        f'<!doctype html>\n<html lang="{spoken()}">\n'
        f'<head><meta charset="utf-8"><title>{escape(subject_of(words))}</title></head>\n'
        f'<body style="font-family:sans-serif;font-size:16px">\n{body}\n</body>\n</html>\n'
    )


def _opening(words: Words) -> str:
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


def _heading(change: ChangeNotice, zone: ZoneInfo) -> str:
    day = day_in_words(change.event.starts_at.astimezone(zone).date())
    if change.event.is_withdrawn:
        return _("%(day)s: off", day=day)
    return _("%(day)s: new", day=day) if change.was is None else _("%(day)s: changed", day=day)


def _rows(change: ChangeNotice, zone: ZoneInfo) -> list[tuple[str, str]]:
    event = change.event
    now = _when_and_where(Holding(event.starts_at, event.ends_at, change.ground), zone)
    if event.is_withdrawn:
        was = _when_and_where(change.was, zone) if change.was is not None else now
        return [(_("was"), was), (_("is"), _("nothing; this ground is no longer held for you"))]
    rows = [] if change.was is None else [(_("was"), _when_and_where(change.was, zone))]
    rows.append((_("is"), now))
    if change.light_until is not None:
        rows.append((_("light"), _light(change.light_until, event.ends_at, zone)))
    return rows


def _when_and_where(holding: Holding, zone: ZoneInfo) -> str:
    day = day_in_words(holding.starts_at.astimezone(zone).date())
    times = f"{clock_in_zone(holding.starts_at, zone)}–{clock_in_zone(holding.ends_at, zone)}"
    return f"{day}, {times}, {one_line(holding.ground, GROUND_LIMIT)}"


def _light(until: datetime, ends_at: datetime, zone: ZoneInfo) -> str:
    clock = clock_in_zone(until, zone)
    if until >= ends_at:
        return _("until %(clock)s", clock=clock)
    return _(
        "until %(clock)s only, before the booking ends; plan to be off the ground by then",
        clock=clock,
    )
