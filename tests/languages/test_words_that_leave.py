"""No word in a feed, an invitation, a mail or a picture that is not in the club's language.

Every message is told in brackets, and what fills its places stands outside of them: a word that
records hold in English is seen wherever it is put in untold.
"""

from __future__ import annotations

import html
import re
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import icalendar
import pytest

from clubplanner import language
from clubplanner.config import Config, MailServer
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import range_from_wall
from clubplanner.language import date_in_words, speaking
from clubplanner.outputs.calendars.feed import write_feed
from clubplanner.services.calendars import feeds
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.calendars.feeds import build_feed
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.mails.sending.delivering import deliver
from clubplanner.services.mails.sending.transport import Fate
from clubplanner.services.rows.bookings.booking_rows import BookingWish
from clubplanner.webapp import create_app
from tests.builders import A_WEDNESDAY, LONDON
from tests.languages.test_every_word import CLOSE, OPEN, TAGS, WORD, Bracketed, outside
from tests.outputs.calendars.test_feed import make_event, make_feed
from tests.small_club import (
    SETTINGS,
    find_area_id,
    find_squad_id,
    load_small_club,
    pitch_feature,
)
from tests.stores import ALL_THE_SAME, put_booking

if TYPE_CHECKING:
    from email.message import EmailMessage

    from clubplanner.store.engine import Store

ADDRESS = "https://pitches.example"
NOON = datetime(2026, 11, 25, 12, 0, 7, 482_193, tzinfo=UTC)
NAMES = "Arvel Brisk Corly Dunna Elbra Fosk Girn Holm Ilva Jorun Kesk Lund Morv Nesk Ostra Zzz"
"""Every name that this test gives; none of them is a word of any language that we speak."""
PITCHES = {"arvel": "artificial", "brisk": "grass", "corly": "indoor"}
EDGES = {"start": "Dunna", "far": "Elbra", "left": "Fosk", "right": "Girn"}
HEAD = (
    "squad,age group,players,goalkeepers,coach,coach e-mail,sessions a week,minutes,possible,"
    "least ground\n"
)
SQUADS = f"{HEAD}Holm,U12,14,1,Ilva Jorun,holm@club.example,1,75,Wed 18:00-19:15,third\n"
PLACE = re.compile(r"%\(\w+\)[sd]")
WEB_OR_MAIL = re.compile(r"(?:https?|mailto):\S+|\S+@\S+")


class Hollow(Bracketed):
    """Tells every message in brackets that leave out what fills its places."""

    def gettext(self, message: str) -> str:
        """Put what was translated in brackets."""
        return PLACE.sub(lambda found: f"{CLOSE}{found[0]}{OPEN}", super().gettext(message))


@pytest.fixture
def store(empty_store: Store, monkeypatch: pytest.MonkeyPatch) -> Store:
    """Give a German club with a booking of each purpose on each surface, its words in brackets."""
    monkeypatch.setattr(language, "_catalogue", lambda _code: Hollow())
    settings = SETTINGS.replace('"Alderby Rovers"', '"Kesk"\nlanguage = "de"')
    settings = settings.replace("Marsh Lane, Alderby", "Lund")
    pitches = tuple(
        pitch_feature(
            key.capitalize(), 100, 64, surface=surface, names=EDGES, indoor=surface == "indoor"
        )
        for key, surface in PITCHES.items()
    )
    with speaking("de"):
        load_small_club(empty_store, settings=settings, squads=SQUADS, pitches=pitches)
    return empty_store


def fill(store: Store, now: datetime) -> list[int]:
    """Book an hour for each purpose on each surface, and return the numbers."""
    numbers = []
    with speaking("de"):
        for pitch in PITCHES:
            for place, purpose in enumerate(Purpose):
                squad = None if purpose is Purpose.CLOSED else find_squad_id(store, "holm")
                wish = BookingWish(
                    find_area_id(store, f"marsh-lane-{pitch}", "third-1"),
                    range_from_wall(A_WEDNESDAY, 60 * (15 + place), 60 * (16 + place), LONDON),
                    purpose,
                    squad,
                    "Nesk",
                    "Ostra" if place % 2 else "",
                    is_fixed=True,
                )
                numbers.append(put_booking(store, wish, now))
    return numbers


def faults(words: str) -> set[str]:
    """Return the words that are neither told nor names."""
    with speaking("de"):
        dates = {
            word
            for days in range(-7, 7)
            for word in WORD.findall(
                date_in_words(A_WEDNESDAY + timedelta(days=days), "EEEE EEE MMMM MMM")
            )
        }
    known = {*WORD.findall(f"{NAMES} Marsh Lane"), *dates}
    return set(WORD.findall(outside(WEB_OR_MAIL.sub(" ", words)))) - known


def calendar_words(data: bytes) -> str:
    """Return all that a calendar program shows of a calendar."""
    calendar: Any = icalendar.Calendar.from_ical(data)
    shown = [calendar.get("NAME", ""), calendar.get("X-WR-CALNAME", "")]
    for part in calendar.walk():
        shown += [str(part.get(name, "")) for name in ("SUMMARY", "DESCRIPTION", "LOCATION")]
        place = part.get("X-APPLE-STRUCTURED-LOCATION")
        shown.append("" if place is None else place.params.get("X-TITLE", ""))
    return "\n".join(map(str, shown))


def test_feeds_of_squad_coach_and_pitch(store: Store) -> None:
    """Every purpose on every surface, standing and withdrawn, with a reminder."""
    numbers = fill(store, NOON)
    for number in numbers[::2]:
        withdraw_booking(store, number, 0, NOON)
    wishes = [(LinkKind.SQUAD, "holm"), (LinkKind.COACH, "Ilva Jorun")]
    wishes += [(LinkKind.PITCH, f"marsh-lane-{pitch}") for pitch in PITCHES]
    for kind, subject in wishes:
        link = create_link(store, LinkWish(kind, subject, "Morv", reminder_minutes=30), NOON)
        shown = calendar_words(build_feed(store, link.path.split("/")[2], ADDRESS, NOON).data)
        assert "Nesk" in shown or "Holm" in shown
        assert faults(shown) == set(), (kind, subject)


def test_a_calendar_and_a_booking_without_a_name() -> None:
    """What stands in for a name is told, too."""
    with pytest.MonkeyPatch.context() as patch, speaking("de"):
        patch.setattr(language, "_catalogue", lambda _code: Hollow())
        feed = make_feed(make_event(title="", place="", lines=()), name="")
        shown = calendar_words(write_feed(feed))
    assert faults(shown) == set()
    assert f"{OPEN}Booking{CLOSE}" in shown


def test_mails_and_invitations(store: Store) -> None:
    """Subject, text, HTML and calendar parts: new, changed and called off; alone and together."""
    sent: list[EmailMessage] = []

    def keep(_server: MailServer, message: EmailMessage, _to: str) -> tuple[Fate, str]:
        sent.append(message)
        return Fate.TAKEN, ""

    server = MailServer("mail.example", 25, "none", "", "", "kesk@club.example")
    config = Config("", ADDRESS, mail_server=server)

    def tell(now: datetime) -> None:
        assert deliver(store, config, lambda: now, at_once=True, send=keep).sent == 1

    numbers = fill(store, NOON)
    tell(NOON)
    for count, number in enumerate(n for n in numbers if n % len(Purpose)):  # none of closures
        now = NOON + timedelta(minutes=10 * count + 10)
        pitch = list(PITCHES)[(number - 1) // len(Purpose)]
        start = 15 + (number - 1) % len(Purpose)
        during = range_from_wall(A_WEDNESDAY, 60 * start, 60 * (start + 1), LONDON)
        area = find_area_id(store, f"marsh-lane-{pitch}", "third-2")
        with speaking("de"):
            move_booking(store, number, 0, area, during, now, ALL_THE_SAME)
            tell(now)
            withdraw_booking(store, number, 1, now)
            tell(now)
    assert len(sent) == 1 + 2 * len(PITCHES) * (len(Purpose) - 1)
    for message in sent:
        shown = [str(message["Subject"])]
        for part in message.walk():
            if part.get_content_type() == "text/plain":
                shown.append(part.get_content())
            elif part.get_content_type() == "text/html":
                shown.append(html.unescape(TAGS.sub(" ", part.get_content())))
            elif part.get_content_type() == "text/calendar":
                invitation: Any = part.get_payload(decode=True)
                shown.append(calendar_words(invitation))
        assert faults("\n".join(shown)) == set()


def test_pictures(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever the program that fetches one asks for, it is the club's language that it speaks."""
    drawn: list[str] = []

    def keep(svg: str, *_: object) -> bytes:
        drawn.append(svg)
        return b"PNG"

    monkeypatch.setattr(feeds, "png_from_svg", keep)
    numbers = fill(store, NOON)
    client = create_app(store, Config("", ADDRESS), lambda: NOON).test_client()
    for pitch in PITCHES:
        wish = LinkWish(LinkKind.PITCH, f"marsh-lane-{pitch}", "Morv")
        secret = create_link(store, wish, NOON).path.split("/")[2]
        for number in numbers:
            path = f"/calendar/{secret}/map/{number}.png"
            client.get(path, headers={"Accept-Language": "en"})
    assert len(drawn) == len(numbers)
    for svg in drawn:
        assert OPEN in svg
        assert faults(html.unescape(TAGS.sub(" ", svg))) == set()
