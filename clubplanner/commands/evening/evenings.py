"""Evenings from the command line: a venue's day, as it stands or as it once stood."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.days import DAY, MOMENT
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.services.evening.evening import see_evening
from clubplanner.services.rows.club.club import club_zone

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.commands.base.context import Context
    from clubplanner.services.showing.states.state_shown import StateShown


@click.group()
def evenings() -> None:
    """A venue's day: who is where, from when to when."""


@evenings.command()
@click.argument("day", type=DAY)
@click.argument("known", type=MOMENT, required=False)
@click.option("--venue", help="Key of the venue; the first one if left out.")
@json_option
@click.pass_obj
@tells_faults
def show(
    context: Context, day: date, known: datetime | None, venue: str | None, as_json: bool
) -> None:
    """Show DAY as it stands, or as it stood on KNOWN (2026-11-24T18:00, the club's own clock)."""
    store = context.open()
    known_at = None
    if known is not None:
        known_at = known.replace(tzinfo=club_zone(store)).astimezone(UTC)
    page = see_evening(store, venue, day, None, known_at, now=present.now())
    stood = "" if known is None else f", as it stood on {known:%Y-%m-%d %H:%M}"
    words = [f"{page.venue.words}, {page.day_words}{stood}:"]
    for row in page.rows:
        moved = _in_words(row.state)
        parts = (str(row.number), row.times, row.holder, row.place, row.purpose, row.note, moved)
        words.append("  ".join(filter(None, parts)))
    words += [] if page.rows else ["Nothing was booked." if known else "Nothing is booked."]
    words += ["Off or elsewhere:"] if page.missed else []
    for one in page.missed:
        words.append("  ".join((one.times, one.holder, one.place, _in_words(one.state))))
    words += [f"{one.name}: {words}" for one in page.pitches for words in one.conditions]
    if not page.is_whole:
        words.append("That is longer ago than changes are kept; the list may lack some.")
    value = {
        "venue": page.venue.value,
        "venue_name": page.venue.words,
        "day": page.day,
        "known_at": known_at,
        "is_whole": page.is_whole,
        "bookings": [
            {
                "number": row.number,
                "times": row.times,
                "holder": row.holder,
                "squad": row.squad_key,
                "place": row.place,
                "purpose": row.purpose,
                "note": row.note,
                "moved": _in_words(row.state),
            }
            for row in page.rows
        ],
        "missed": [
            {
                "times": one.times,
                "holder": one.holder,
                "place": one.place,
                "state": _in_words(one.state),
            }
            for one in page.missed
        ],
        "conditions": [
            {"pitch": one.name, "words": list(one.conditions)}
            for one in page.pitches
            if one.conditions
        ],
    }
    say("\n".join(words), value, as_json=as_json)


def _in_words(state: StateShown | None) -> str:
    """Say what became of a session; blank for one that is where it was to be."""
    return "" if state is None else ": ".join(filter(None, (state.label, state.short)))
