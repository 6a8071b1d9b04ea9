"""What the club keeps of people, in plain words: what, why, for how long, and who sees it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.club.people import Role
from clubplanner.domain.club.persons.keeping import Period
from clubplanner.language import _, marked, ngettext, term
from clubplanner.services.people.sent_forms import KEPT_HOURS
from clubplanner.services.people.ways_in.browsers import unused_days
from clubplanner.store.personal_kinds import Part

if TYPE_CHECKING:
    from clubplanner.domain.club.persons.keeping import Keeping


@dataclass(frozen=True, slots=True)
class Told:
    """What is kept of one kind, as the privacy page tells it.

    Attributes:
        heading: What it is called.
        what: What is kept.
        why: What for.
        how_long: Until when.
        who: Who sees it.
    """

    heading: str
    what: str
    why: str
    how_long: str
    who: str


@dataclass(frozen=True, slots=True)
class _Words:
    heading: str
    what: str
    why: str
    who: str


SECRETARY_ONLY = marked("The secretary.")
SIGNED_IN = marked("Whoever is signed in.")

WORDS = {
    Part.PERSON: _Words(
        marked("Who coaches and who signs in"),
        marked(
            "Name, mail address and telephone number as far as known, what somebody does, and "
            "which squads they coach or did."
        ),
        marked("So that the club knows who answers for a squad and whom to ring."),
        marked(
            "The secretary. The name also whoever is signed in and who has an address of the "
            "squad; the number also groundskeepers, when somebody has to be rung."
        ),
    ),
    Part.SIGNING_IN: _Words(
        marked("Signing in"),
        marked(
            "Which kind of browser is signed in, and since when. A secretary's password, "
            "attempts to sign in and sent forms only as hashes, from which nobody can read them."
        ),
        marked("So that nobody else comes in, and nothing is done twice."),
        marked("The person themselves, and the secretary."),
    ),
    Part.ADDRESSES: _Words(
        marked("Addresses of pages and calendars"),
        marked(
            "For whom an address was made, where changes are mailed to, and when it was last used."
        ),
        marked("So that one address can be withdrawn, and it is known who has heard of a change."),
        marked("The secretary, and coaches for their own squads."),
    ),
    Part.MAILS: _Words(
        marked("Mails"),
        marked("To whom a mail went, what it said, and whether it arrived."),
        marked("So that nobody is missed and nobody is told twice."),
        SECRETARY_ONLY,
    ),
    Part.PHONES: _Words(
        marked("Notices to phones"),
        marked("Where the maker of a phone takes notices for it, and what it was told."),
        marked("Only where somebody switched notices on."),
        marked("Nobody; the program sends them."),
    ),
    Part.BOOKINGS: _Words(
        marked("Bookings"),
        marked("Who holds which ground and when, with a remark or a reason if somebody wrote one."),
        marked("So that everybody finds their ground, and the past can be shared out fairly."),
        marked(
            "Whoever is signed in; who has an address of a squad sees that squad's. On the notice "
            "board, where the club switched it on, everybody."
        ),
    ),
    Part.HIRES: _Words(
        marked("Hires"),
        marked("The hirer's name, whom to call, their number, and remarks."),
        marked("So that somebody can be told when ground is closed."),
        marked("The secretary; of a booking also who is signed in."),
    ),
    Part.MATCHES: _Words(
        marked("Matches"),
        marked("Opponent, officials if somebody wrote them down, and remarks."),
        marked("So that a match has its ground and its people."),
        SECRETARY_ONLY,
    ),
    Part.ASKS: _Words(
        marked("Asks, offers and turnouts"),
        marked(
            "Who asked for ground, offered to change places or said who comes, and what they wrote."
        ),
        marked("So that asks are answered in turn."),
        marked("The secretary, and the coaches whom it is about."),
    ),
    Part.GROUND: _Words(
        marked("Venues and closures"),
        marked("Whom to call at a venue, and why ground is closed."),
        marked("So that somebody can be reached at the gate."),
        marked("Whoever is signed in; the number also parents, where the club says so."),
    ),
    Part.CALENDARS: _Words(
        marked("Calendars of others"),
        marked("What a calendar that holds our ground says of its dates."),
        marked("So that nobody is sent to ground that is taken."),
        SIGNED_IN,
    ),
    Part.PROPOSALS: _Words(
        marked("Proposals of share-outs"),
        marked("Which squads and coaches a proposal was made for."),
        marked("So that it can be compared, published and explained."),
        SECRETARY_ONLY,
    ),
    Part.JOURNAL: _Words(
        marked("The list of changes"),
        marked("Who changed what and when, and what it was before."),
        marked("So that a mistake can be taken back, and a change explained."),
        SECRETARY_ONLY,
    ),
    Part.CLUB: _Words(
        marked("The club itself"),
        marked("Names in remarks and in what is typed of the next season."),
        marked("So that the club's own entries are whole."),
        SECRETARY_ONLY,
    ),
}


def told_of(part: Part, keeping: Keeping) -> Told:
    """Say what is kept of one kind."""
    words = WORDS[part]
    return Told(
        term(words.heading), term(words.what), term(words.why), how_long(part, keeping),
        term(words.who),
    )  # fmt: skip


def how_long(part: Part, keeping: Keeping) -> str:
    """Say for how long one kind is kept, by the club's periods."""
    if part is Part.SIGNING_IN:
        return _(
            "A browser until it is signed out, or was not used for %(longest_days)s days (a "
            "secretary's for %(fewer)s); attempts and forms for %(hours)s hours.",
            longest_days=unused_days(Role.COACH),
            fewer=unused_days(Role.SECRETARY),
            hours=KEPT_HOURS,
        )
    if part in (Part.PERSON, Part.GROUND, Part.CLUB):
        return _("Until it is changed, or the person is erased.")
    if part is Part.PHONES:
        return _("Until it is switched off, or the address ends; what was told for 30 days.")
    period, words = PERIODS[part]
    return term(words) % {"time": days_in_words(keeping.days_of(period))}


PERIODS = {
    Part.ADDRESSES: (
        Period.ADDRESSES,
        marked("As long as it opens, and %(time)s after it was withdrawn or its session was over."),
    ),
    Part.MAILS: (Period.MAILS, marked("%(time)s after it went out.")),
    Part.BOOKINGS: (
        Period.REMARKS,
        marked("The booking stays; the remark goes %(time)s after it was over."),
    ),
    Part.HIRES: (
        Period.HIRERS,
        marked("The name stays with the bookings; the rest goes %(time)s after the last date."),
    ),
    Part.MATCHES: (
        Period.REMARKS,
        marked("The match stays; officials and remarks go %(time)s after it."),
    ),
    Part.ASKS: (
        Period.REMARKS,
        marked("That it was asked stays; who asked, and their words, go %(time)s after the date."),
    ),
    Part.CALENDARS: (
        Period.CALENDARS,
        marked("As last read; what it said of a date goes %(time)s after that."),
    ),
    Part.PROPOSALS: (
        Period.PROPOSALS,
        marked("What was published stays; the rest goes after %(time)s."),
    ),
    Part.JOURNAL: (
        Period.JOURNAL,
        marked("%(time)s, and as long as anything of a change is still to come."),
    ),
}


def days_in_words(days: int) -> str:
    """Return a number of days for a person."""
    return ngettext("%(num)s day", "%(num)s days", days)
