"""Which chapters there are, and which pages each of them is about: that says who may read it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from clubplanner.language import marked

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True, slots=True)
class Chapter:
    """One chapter.

    Attributes:
        key: Its name in addresses and of its files.
        title: What it is called.
        about: What it helps with, in a line.
        pages: The endpoints it stands beside, each with the key of a section, or blank for the
            chapter as a whole. Whoever may open one of them may read the chapter.
    """

    key: str
    title: str
    about: str
    pages: Mapping[str, str] = field(repr=False)


def _all(section: str, *endpoints: str) -> dict[str, str]:
    return dict.fromkeys(endpoints, section)


CHAPTERS = (
    Chapter(
        "first-evening",
        marked("The first evening"),
        marked("From nothing to squads that know where they train."),
        {
            **_all("", "desk.first_steps"),
            **_all(
                "ground",
                "grounds.club",
                "grounds.listing",
                "grounds.venue",
                "grounds.new_venue",
                "grounds.pitch",
                "grounds.new_pitch",
                "grounds.by_kind",
                "grounds.rules",
                "grounds.from_picture",
            ),
            **_all("squads", "squads.listing", "squads.edit_squad", "squads.new_squad"),
            **_all("squads", "pasting.start"),
            **_all(
                "share-out",
                "share_outs.listing",
                "share_outs.see",
                "share_outs.week",
                "share_outs.why",
                "share_outs.other",
                "share_outs.wish",
                "share_outs.compare",
                "share_outs.see_run_page",
            ),
            **_all(
                "hand-out",
                "calendars.listing",
                "calendars.hand_out",
                "people.listing",
                "people.see",
                "board.desk",
            ),
        },
    ),
    Chapter(
        "evening",
        marked("The evening at 17:40"),
        marked("Frost, a late request, a coach who is ill: put right before six."),
        {
            **_all("frost", "season.look_at_closure"),
            **_all("late", "desk.evening", "desk.booking", "desk.places", "desk.look_at_move"),
            **_all("who-comes", "share_outs.tonight"),
            **_all("give-and-take", "season.asks"),
            **_all("who-knows", "season.mails", "season.mail"),
            **_all("back", "season.changes"),
            **_all("ahead", "season.ahead", "desk.week", "desk.booked"),
        },
    ),
    Chapter(
        "season",
        marked("August, and the rest of the season"),
        marked("A year older, the season’s share-out, and what changes on the way."),
        {
            **_all("next-season", "season.next_season"),
            **_all("share-out", "season.year", "season.see_stretch"),
            **_all(
                "changes",
                "share_outs.again",
                "share_outs.other_for_booking",
                "squads.see_end",
                "season.see_begin",
                "season.weeks",
            ),
            **_all("money", "money.desk"),
            **_all("fair", "share_outs.turns", "season.fairness", "reports.report"),
            **_all(
                "others",
                "season.matches",
                "season.match",
                "season.who_made_way",
                "season.hires",
                "season.hire",
            ),
            **_all("others", "season.busy_calendars", "season.busy_calendar"),
        },
    ),
    Chapter(
        "coach",
        marked("For coaches"),
        marked("Your ground, what can be played there, and who takes over."),
        {
            **_all("ground", "coach.home", "coach.squad", "coach.weeks", "season.squad_sessions"),
            **_all("fits", "coach.fits", "ground.fits"),
            **_all("numbers", "coach.session"),
            **_all("pass-on", "coach.passing_on", "one_session.see"),
            **_all("give", "coach.give"),
            **_all("calendar", "coach.calendar"),
            **_all("care", "thunder.clock"),
            **_all("", "entry.sign_in", "entry.waiting"),
        },
    ),
    Chapter(
        "groundskeeper",
        marked("For the groundskeeper"),
        marked("Close and open ground; light, lamps and grass."),
        {
            **_all("close", "season.closures"),
            **_all("open", "season.closure", "season.look_at_change"),
            **_all("light", "season.light"),
            **_all("grass", "season.wear"),
        },
    ),
    Chapter(
        "parent",
        marked("For parents and players"),
        marked("One address: where, when, and whether it is on."),
        {
            **_all("", "ground.see"),
            **_all("calendar", "calendars.see", "mails.choose"),
        },
    ),
    Chapter(
        "council",
        marked("For the council’s office"),
        marked("Several clubs on one ground, or on one server."),
        {**_all("", "squads.clubs"), **_all("club", "people.listing")},
    ),
    Chapter(
        "running",
        marked("Running it"),
        marked("Install, serve, back up, and come back: for who looks after the computer."),
        {
            **_all("back", "season.restored"),
            **_all("people", "keeping.desk", "keeping.person"),
            **_all("programs", "webhooks.listing", "webhooks.webhook"),
        },
    ),
    Chapter(
        "files",
        marked("The files"),
        marked("Settings, grounds, squads, sizes and fixtures as files."),
        {**_all("", "squads.files"), **_all("grounds", "grounds.file")},
    ),
)
"""In this order."""

BY_KEY = {chapter.key: chapter for chapter in CHAPTERS}


def place_of(endpoint: str) -> tuple[Chapter, str] | None:
    """Return the chapter and section a page has in the guide; None for pages that need none."""
    for chapter in CHAPTERS:
        if endpoint in chapter.pages:
            return chapter, chapter.pages[endpoint]
    return None
