"""A squad's pages, the feed and the area maps, over the squad's address."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import TYPE_CHECKING

import icalendar
import pytest
import recurring_ical_events
import vobject

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.people import Role
from clubplanner.outputs.drawings.qr import draw_qr
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.calendars.feeds import build_feed, draw_area_map
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from tests.builders import A_WEDNESDAY, LONDON, NOW, make_range
from tests.stores import MEADOW, area_number, make_wish, put_booking
from tests.webapp.conftest import sign_in

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.domain.times.times import TimeRange
    from clubplanner.store.engine import Store

BEFORE_THE_CLOCKS_CHANGE = date(2027, 3, 24)
AFTER_THE_CLOCKS_CHANGED = date(2027, 3, 31)


def train(
    store: Store,
    area: str = "third-3",
    during: TimeRange | None = None,
    squad: str = "u13-kestrels",
) -> int:
    """Book training and return its number."""
    wish = make_wish(store, area, during, squad_key=squad, purpose=Purpose.TRAINING)
    return put_booking(store, wish, NOW)


@pytest.fixture
def address(club_store: Store, secret: str) -> str:
    """Give the path of a squad's page that has a session next to another squad's."""
    train(club_store)
    train(club_store, "third-2", squad="u14-harriers")
    train(club_store, "quarter-1", squad="u12-herons")
    return f"/ground/{secret}"


def test_the_calendar_can_be_copied_or_scanned(stranger: FlaskClient, address: str) -> None:
    """The page shows the calendar's address, and a square that subscribes to it."""
    page = stranger.get(address).text
    found = re.search(r'<p class="address">https?://([^<]+)</p>', page)
    assert found is not None
    assert found[1].endswith(f"{address}/sessions.ics")
    assert draw_qr(f"webcal://{found[1]}", "The calendar of U13 Kestrels") in page


def test_the_page_says_where_how_large_and_who_is_next_door(
    stranger: FlaskClient, address: str
) -> None:
    """Everything a coach must know beforehand stands on the page of the next session."""
    page = stranger.get(address).text
    for words in (
        "Clubhouse third",
        "Top pitch, Osier Lane",
        "18:00–19:15",
        "Wednesday 25 November 2026",
        "artificial",
        "U14 Harriers on Middle third, towards the railway end",
        "U12 Herons on Railway quarter",
        "Floodlights until 21:00. Sunset 16:0",
        "Railway end on the left of the plan, Clubhouse end on the right (towards the north-east).",
    ):
        assert words in page
    assert re.search(r"Next door</dt><dd>U14 Harriers", page)
    assert re.search(r"Also there</dt><dd>U12 Herons", page)
    fits = stranger.get(f"{address}/fits").text
    assert "33.3 × 64 m (36 × 70 yd), 2,133 m²" in fits
    assert "Fixed goal, 7.32 × 2.44 m. 4 portable goals can be brought on." in fits


def test_families_have_no_tables_of_what_fits(stranger: FlaskClient, address: str) -> None:
    """The next session, what comes, the calendar; and one quiet link for a coach."""
    page = stranger.get(address).text
    assert "Coming sessions" in page
    assert "In your calendar" in page
    assert "Take care" not in page
    assert 'name="players"' not in page
    (link,) = re.findall(r'href="([^"]+/fits\?[^"]+)"', page)
    assert "Take care" in stranger.get(link.replace("&amp;", "&")).text


def test_the_session_of_the_page_is_not_listed_again(
    stranger: FlaskClient, club_store: Store, address: str
) -> None:
    """What comes is what comes besides; where there is nothing else that is said."""
    assert "No other is booked." in stranger.get(address).text
    day = A_WEDNESDAY + timedelta(days=7)
    train(club_store, during=make_range(day, 1080, 1155, LONDON))
    page = stranger.get(address).text
    assert re.findall(r'<li><a href="\?date=([^"]+)"', page) == ["2026-12-02"]
    page = stranger.get(f"{address}?date=2026-12-02").text
    assert re.findall(r'<li><a href="\?date=([^"]+)"', page) == ["2026-11-25"]


@pytest.mark.parametrize("who", ["families", "coach"])
def test_addresses_with_numbers_lead_to_what_fits(
    app: Flask, club_store: Store, address: str, who: str
) -> None:
    """A squad's page once took them, so that such addresses stand in bookmarks and messages."""
    if who == "families":
        client, page = app.test_client(), address
    else:
        client = sign_in(app, club_store, Role.COACH, "u13-kestrels")
        page = "/coach/squads/u13-kestrels"
    answer = client.get(f"{page}?date=2026-11-25&players=13&goalkeepers=1")
    assert answer.status_code == 302
    assert answer.headers["Location"] == f"{page}/fits?date=2026-11-25&players=13&goalkeepers=1"
    shown = client.get(answer.headers["Location"]).text
    assert ">Two games of 3 v 3<" in shown
    plain = client.get(f"{page}?date=2026-11-25")
    assert plain.status_code == 200
    assert "Clubhouse third" in plain.text


def test_what_fits_follows_the_numbers_typed(stranger: FlaskClient, address: str) -> None:
    """Fourteen with one goalkeeper: two games of three a side with one extra; and so on.

    Common practice, no source: the check values of a third of a full-size pitch.
    """
    fourteen = stranger.get(f"{address}/fits?players=14&goalkeepers=1").text
    assert "Two games of 3 v 3, one of them 4 v 3" in fourteen
    thirteen = stranger.get(f"{address}/fits?players=13&goalkeepers=1").text
    assert ">Two games of 3 v 3<" in thirteen
    more = stranger.get(f"{address}/fits?players=17&goalkeepers=1").text
    assert "Two games of 4 v 4" in more
    sized = stranger.get(f"{address}/fits?players=14&goalkeepers=1&length=30&width=20").text
    assert re.search(r"\d practice areas of 30 × 20 m \(33 × 22 yd\) fit", sized)
    largest = r"7 v 6 on [\d.]+ × [\d.]+ m \(\d+ × \d+ yd\), everybody in one game\. Fits with"
    assert re.search(largest, sized), "the largest single game"
    assert "Take care" in sized


def test_few_players_and_tiny_games_are_answered_in_sentences(
    stranger: FlaskClient, address: str
) -> None:
    """One player gets something to do and no lone full stop; a doormat is called too small."""
    alone = stranger.get(f"{address}/fits?players=1&goalkeepers=0").text
    assert "Work on the ball, alone" in alone
    assert not re.search(r"<p>\s*\.\s*</p>", alone)
    doormat = stranger.get(f"{address}/fits?players=14&goalkeepers=1&length=1&width=1").text
    assert "1 × 1 m is too small for a game" in doormat
    assert "v 6 on 1 × 1 m" not in doormat


def test_kit_is_counted_on_the_page(stranger: FlaskClient, address: str) -> None:
    """Small target goals typed in stand at ends, on the list to set out, and among the cautions."""
    page = stranger.get(f"{address}/fits?players=14&goalkeepers=1&goals=0&targets=3").text
    assert "Game 2: a small target goal at each end." in page
    assert re.search(r"Bring 3 small target goals", page)
    assert "Small target goals tip over too" in page
    assert 'name="targets" type="text" value="3"' in page
    assert "small target goal" not in stranger.get(f"{address}/fits").text


def test_sizes_of_the_age_group_stand_on_the_page(stranger: FlaskClient, address: str) -> None:
    """The club's own sizes and the published ones of the age group, with their source."""
    page = stranger.get(f"{address}/fits").text
    assert "Sizes of games for U13" in page
    assert "Tarnholt Wanderers, 7v7-evening, 7 a side: 50 × 33 m (55 × 36 yd)" in page
    assert "The FA, 9v9, 9 a side" in page, "from 2026-27 on; 11v11 before"
    assert re.search(r"Pitches that fit here, by their size alone: .*4v4-saturday", page)


def test_every_drawing_has_its_picture(stranger: FlaskClient, address: str) -> None:
    """Each way links to its picture, for the numbers typed; an odd name or number leads nowhere."""
    page = stranger.get(f"{address}/fits?players=14&goalkeepers=1&length=20&width=15&date=").text
    links = re.findall(r'href="([^"]+/fit/\d+/(\w+)\.png\?[^"]+)"', page)
    assert [name for _, name in links] == ["practice", "1", "2", "3", "4", "largest"]
    for link, _ in links:
        answer = stranger.get(link.replace("&amp;", "&"))
        assert answer.status_code == 200
        assert answer.headers["Content-Type"] == "image/png"
        assert int.from_bytes(answer.data[16:20], "big") == 1080
        tag = {"If-None-Match": answer.headers["ETag"]}
        assert stranger.get(link.replace("&amp;", "&"), headers=tag).status_code == 304
    first = links[1][0].partition("?")[0]
    assert stranger.get(first.replace("/1.png", "/9.png")).status_code == 404
    assert stranger.get(first.replace("/1.png", "/practice.png")).status_code == 404
    assert stranger.get(f"{first}?players=x").status_code == 422
    assert stranger.get(f"{first}?players=9&goalkeepers=10").status_code == 422


def test_pictures_need_an_address_in_use(
    stranger: FlaskClient, club_store: Store, address: str
) -> None:
    """Another squad's address does not show the pictures of this squad's ground."""
    page = stranger.get(f"{address}/fits").text
    path = re.search(r"/fit/\d+/1\.png", page)
    assert path is not None
    other = create_squad_link(club_store, "u14-harriers", "x", NOW)
    assert stranger.get(f"{address}{path[0]}").status_code == 200
    assert stranger.get(f"/ground/{other}{path[0]}").status_code == 404


@pytest.mark.parametrize(
    ("query", "message"),
    [
        ("targets=-1", "Enter how many small target goals there are"),
        ("players=0", "Enter how many players come, 1 to 60."),
        ("players=1e3", "Enter how many players come, 1 to 60."),
        ("players=99999999999", "Enter how many players come, 1 to 60."),
        ("players=5&goalkeepers=6", "Goalkeepers are counted among the players"),
        ("goalkeepers=-1", "Enter how many of them keep goal"),
        ("length=30", "Enter both sides of the practice area"),
        ("width=20", "Enter both sides of the practice area"),
        ("length=nan&width=20", "Enter metres, 1 to 200"),
        ("length=0&width=1e9", "Enter metres, 1 to 200"),
        ("goalkeepers=40", "goalkeepers cannot be among"),
    ],
)
def test_numbers_that_cannot_be_used_are_told_and_kept(
    stranger: FlaskClient, address: str, query: str, message: str
) -> None:
    """A wrong number: its message, the number as typed, and the page all the same."""
    answer = stranger.get(f"{address}/fits?{query}")
    assert answer.status_code == 422
    assert message in answer.text
    assert f'value="{query.split("&")[0].split("=")[1]}"' in answer.text
    assert "Clubhouse third" in answer.text


def test_a_comma_is_as_good_as_a_point(stranger: FlaskClient, address: str) -> None:
    """Decimals may be written with a comma."""
    assert "12.5 × 10 m" in stranger.get(f"{address}/fits?length=12,5&width=10").text


@pytest.mark.parametrize("day", ["2026-11-23", "1999-01-01", "x", "9999-12-31"])
def test_a_day_without_a_session_leads_to_the_next(
    stranger: FlaskClient, address: str, day: str
) -> None:
    """A free day names the next session; an odd date shows the next session itself."""
    page = stranger.get(f"{address}?date={day}").text
    assert "Wednesday 25 November 2026" in page


def test_a_squad_without_bookings_is_told(stranger: FlaskClient, secret: str) -> None:
    """With nothing booked the page says so."""
    assert "Nothing is booked for the coming weeks." in stranger.get(f"/ground/{secret}").text


def test_a_session_that_ends_in_the_dark_is_warned_of(
    stranger: FlaskClient, club_store: Store, secret: str
) -> None:
    """On unlit ground the page says by when to be off it."""
    wish = make_wish(
        club_store, "half-1", make_range(A_WEDNESDAY, 930, 1020, LONDON), pitch_key=MEADOW
    )
    put_booking(club_store, wish, NOW)
    page = stranger.get(f"/ground/{secret}").text
    assert re.search(r"be off the ground by 16:1\d", page)
    assert "No floodlights: light enough until 16:1" in page


def test_two_sessions_on_a_day_have_one_first_heading(
    app: Flask, club_store: Store, stranger: FlaskClient, secret: str
) -> None:
    """On the squad's page and on the coach's own: the second ground stands below the first."""
    train(club_store)
    train(club_store, "third-2", during=make_range(start_min=1200, end_min=1260))
    coach = sign_in(app, club_store, Role.COACH, "u13-kestrels")
    for page in (stranger.get(f"/ground/{secret}").text, coach.get("/coach").text):
        assert page.count('class="where-area"') == 2
        assert page.count("<h1") == 1
        assert len(re.findall(r'<h2 id="session-', page)) == 1


def test_the_feed_is_read_by_others_at_the_right_instants(
    stranger: FlaskClient, club_store: Store, secret: str
) -> None:
    """18:00 stays 18:00 on the wall across the change of clocks, for two parsers."""
    for day in (BEFORE_THE_CLOCKS_CHANGE, AFTER_THE_CLOCKS_CHANGED):
        train(club_store, during=make_range(day, 1080, 1155, LONDON))
    answer = stranger.get(f"/ground/{secret}/sessions.ics")
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    events = vobject.readOne(answer.text).vevent_list
    assert [e.dtstart.value.utctimetuple()[3] for e in events] == [18, 17]
    again = recurring_ical_events.of(icalendar.Calendar.from_ical(answer.data))
    found = again.between(date(2027, 3, 1), date(2027, 4, 30))
    assert [event["DTSTART"].dt.hour for event in found] == [18, 18]
    assert events[0].location.value.startswith("Osier Lane")
    assert f"/ground/{secret}?date=2027-03-24" in events[0].url.value


def test_an_unchanged_feed_is_not_sent_again(
    stranger: FlaskClient, club_store: Store, secret: str
) -> None:
    """The tag of a feed stays until something changes; then it is sent anew."""
    number = train(club_store)
    path = f"/ground/{secret}/sessions.ics"
    first = stranger.get(path)
    tag = first.headers["ETag"]
    assert not tag.startswith("W/")
    same = stranger.get(path, headers={"If-None-Match": tag})
    assert (same.status_code, same.data) == (304, b"")
    head = stranger.head(path)
    assert (head.status_code, head.data, head.headers["ETag"]) == (200, b"", tag)
    move_booking(club_store, number, 0, area_number(club_store, "third-1"), make_range(), NOW)
    changed = stranger.get(path, headers={"If-None-Match": tag})
    assert changed.status_code == 200
    event = vobject.readOne(changed.text).vevent
    assert (event.sequence.value, event.uid.value) == (
        "1",
        vobject.readOne(first.text).vevent.uid.value,
    )


def test_a_withdrawn_session_stays_marked_until_it_is_over(
    club_store: Store, stranger: FlaskClient, secret: str
) -> None:
    """Withdrawn sessions still ahead are cancelled in the feed; nothing else of them is kept."""
    number = train(club_store)
    withdraw_booking(club_store, number, 0, NOW)
    event = vobject.readOne(stranger.get(f"/ground/{secret}/sessions.ics").text).vevent
    assert event.status.value == "CANCELLED"
    assert event.summary.value.startswith("Off: ")
    later = build_feed(club_store, secret, "http://x.example", NOW + timedelta(days=30))
    assert b"VEVENT" not in later.data


def test_the_map_is_a_picture_of_the_session(
    stranger: FlaskClient, club_store: Store, secret: str
) -> None:
    """The map is a PNG of phone width, kept by the browser, of this squad's sessions only."""
    number = train(club_store)
    answer = stranger.get(f"/ground/{secret}/map/{number}.png")
    assert answer.headers["Content-Type"] == "image/png"
    assert answer.data == draw_area_map(club_store, secret, number)
    assert int.from_bytes(answer.data[16:20], "big") == 1080
    again = stranger.get(
        f"/ground/{secret}/map/{number}.png", headers={"If-None-Match": answer.headers["ETag"]}
    )
    assert again.status_code == 304
    other = create_squad_link(club_store, "u14-harriers", "x", NOW)
    assert stranger.get(f"/ground/{other}/map/{number}.png").status_code == 404


def kept(client: FlaskClient, address: str, players: object, day: str = "") -> dict[str, object]:
    """Ask for the answers that a browser keeps."""
    answer = client.get(f"{address}/fits.json", query_string={"players": players, "date": day})
    assert answer.status_code == 200
    found: dict[str, object] = answer.get_json()
    return found


def test_answers_to_keep_are_those_of_the_page(stranger: FlaskClient, address: str) -> None:
    """For each number of goalkeepers there is the page's own answer, with the page's own key."""
    found = kept(stranger, address, 13)
    answers = found["answers"]
    assert isinstance(answers, dict)
    assert list(answers) == ["13 0", "13 1", "13 2", "13 3"]
    page = stranger.get(f"{address}/fits", query_string={"players": 13, "goalkeepers": 1}).text
    first = re.search(r"<h2>(Two.*?)</h2>", answers["13 1"])
    assert first is not None
    assert first[0] in page
    assert f'data-kept-key="{found["key"]}"' in page
    assert "No signal. This answer was fetched on" in str(found["note"])


def test_few_players_have_few_goalkeepers(stranger: FlaskClient, address: str) -> None:
    """Numbers beyond what is kept are refused in words."""
    assert list(kept(stranger, address, 4)["answers"]) == ["4 0", "4 1", "4 2", "4 3"]  # type: ignore[call-overload]
    for players in (3, 25, "", "x", "99999"):
        answer = stranger.get(f"{address}/fits.json", query_string={"players": players})
        assert answer.status_code == 422
        assert "Answers are kept for 4 to 24 players." in answer.text
    assert stranger.get(f"{address}/fits.json?players=9&date=2026-01-06").status_code == 404


def test_the_key_tells_when_an_answer_is_no_longer_true(
    stranger: FlaskClient, club_store: Store, secret: str
) -> None:
    """It stays while nothing changes, and is another once a neighbour has gone."""
    address = f"/ground/{secret}"
    train(club_store)
    neighbour = train(club_store, "third-2", squad="u14-harriers")
    before = kept(stranger, address, 9)
    assert kept(stranger, address, 12)["key"] == before["key"]
    withdraw_booking(club_store, neighbour, 0, NOW)
    after = kept(stranger, address, 9)
    assert after["key"] != before["key"]
    assert after["answers"] != before["answers"]


def test_the_page_says_the_way_in_words_and_so_does_its_drawing(
    stranger: FlaskClient, address: str, club_store: Store
) -> None:
    """The same sentences stand beside the drawing and are its description; none for one off."""
    page = stranger.get(address).text
    found = re.search(r'<p class="in-words"><b>The way in words:</b> ([^<]+)</p>', page)
    assert found is not None
    assert found[1].startswith("The way in (clubhouse end): yours begins right there.")
    description = re.search(r"<desc>([^<]+)</desc>", page)
    assert description is not None
    assert description[1].endswith(found[1])
    stranger.set_cookie("measure", "yards")
    assert "58 m" in found[1]
    told = re.search(r'class="in-words">(.+)</p>', stranger.get(address).text)
    assert told is not None
    assert "63 yd to the right" in told[1]
    assert " m " not in told[1]
    number = re.search(r'id="session-(\d+)"', page)
    assert number is not None
    withdraw_booking(club_store, int(number[1]), 0, NOW)
    assert 'class="in-words"' not in stranger.get(f"{address}?date=2026-11-25").text
