"""Two clubs on one ground: no form changes a row of the other's, whatever is sent.

Every form that the office finds about a club's squads is sent as it stands by the secretary of the
other club. The office sends the same forms afterwards, so that a form that does nothing is noticed.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.inputs.club_files.fixtures import FixtureLine
from clubplanner.services.addresses.handing_out import Reader, Subject, link_row
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.addresses.session_links import add_session_link
from clubplanner.services.evening.matches.fixture_rows import add_fixture
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.people.ways_in.sign_in_links import hand_over_link
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.season_tables import SwapOfferRow, WaitingAskRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.webapp import create_app
from clubplanner.webapp.base.once import FIELD as ONCE
from clubplanner.webapp.base.security import ANYBODY, roles_of
from tests.builders import A_WEDNESDAY, NOW
from tests.council import (
    BROOK_U10,
    BROOK_U14,
    KIM,
    NOOR,
    OFFICE,
    WEIR_U10,
    book_squad,
    load_council,
    person_called,
)
from tests.use.visitor import Page
from tests.webapp.conftest import ADDRESS, token
from tests.webapp.test_taken_away import LISTS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store
    from tests.stores import Filled

MADE_BY_ITSELF = {
    *("booking_change", "changed_booking", "changed_record", "notice", "pushed_notice", "stand"),
    *("sent_form", "form_secret", "sign_in_try", "look", "served"),
}
"""Tables of what the program notes of any work; whatever else changes was somebody's act."""
EVERYBODYS = ("/language", "/measure", "/facing", "/sign-out", "/me")
"""Forms that every page has, or that are about oneself."""
GROUND_OF_ALL = ("/desk/evening", "/desk/week", "/desk/bookings")
OF_THE_OTHERS = ("U14 Harriers", "Sam Reed", "sam@example.org", "01632 960222")
"""A squad of the other club, and who coaches it alone."""
FILL = {
    "squad": BROOK_U14,
    "area": "4",
    "about": f"squad:{BROOK_U10}",
    "answer": "No",
    "date": "2026-11-26",
    "from": "20:15",
    "to": "21:15",
    "holder": "Somebody",
    "opponent": "Visitors",
    "name": "Somebody",
    "from_date": "2026-12-01",
    "minutes": "60",
    "day": "2026-11-27",
    "players": "12",
    "goalkeepers": "1",
    "why": "Because",
    "from_day": "",
    "squads": BROOK_U10,
    "squad_keys": BROOK_U10,
    "readers": "families",
    "until_date": "",
}
"""What is written into fields that stand empty, or ticked."""


ALTERED = {"players": "9", "phone": "01632 960444", "from": "18:30", "to": "19:30", "note": "x"}
"""What is written over what stands there, so that a form that is taken leaves a trace."""
LAST = ("withdraw", "hand-back", "rest", "revoke", "end", "undo", "call-off", "take-back", "accept")
"""Forms that leave others without work go last."""
DONE = {
    *("/coach/sessions/N/head-count", "/coach/sessions/N/more", "/coach/sessions/N/pass-on"),
    *("/desk/addresses", "/desk/addresses/N/withdraw", "/desk/addresses/sessions/N/withdraw"),
    *("/desk/bookings/N/move", "/desk/bookings/N/withdraw", "/desk/people", "/desk/people/N/link"),
    *("/desk/season/changes/N/undo", "/desk/season/matches", "/desk/season/matches/N/call-off"),
    *("/desk/season/squads/S/begin", "/desk/season/swaps/N/end"),
    *("/desk/squads/S", "/desk/squads/S/link", "/desk/squads/S/revoke"),
}
"""What these forms do if they are sent by whose squads they are about."""


def fill(store: Store) -> None:
    """Fill a council's records: sessions, a match, an ask, an offer, addresses of one club."""
    load_council(store)
    kept = [book_squad(store, BROOK_U10, f"third-{n}") for n in (1, 2)]
    kept.append(book_squad(store, BROOK_U14, day=A_WEDNESDAY.replace(day=26)))
    book_squad(store, WEIR_U10, "third-3")
    create_squad_link(store, BROOK_U10, "parents", NOW)
    sam = person_called(store, "Sam Reed").number
    with store.write() as session:
        add_session_link(session, kept[0], "Somebody", "Noor", NOW, may_count=True)
        squad_id = session.get_one(BookingRow, kept[0]).squad_id
        session.add(link_row(Subject(Reader.COACHES, sam, "Sam", (), 0, ()), "x" * 64, "Sam", NOW))
        session.add(
            WaitingAskRow(
                squad_id=squad_id,
                day=A_WEDNESDAY,
                from_min=1140,
                to_min=1260,
                minutes=60,
                least_share=0.0,
                wants_more=False,
                by="Sam Reed",
                note="",
                asked_at=NOW,
                state="waiting",
                answer="",
            )
        )
        session.add(
            SwapOfferRow(
                own_id=kept[1],
                other_id=kept[2],
                own_sequence=0,
                other_sequence=0,
                by="Sam Reed",
                note="",
                offered_at=NOW,
                state="offered",
            )
        )
    saturday = A_WEDNESDAY.replace(day=28)
    line = FixtureLine(
        *(0, BROOK_U14, saturday, 600, 660, "Guests", "", None, None, None, "", "", "", "")
    )
    add_fixture(store, line)


@pytest.fixture
def store(filled: Filled) -> Store:
    """Give the records of the council."""
    return filled(fill)


@pytest.fixture
def app(store: Store) -> Flask:
    """Make the council's app."""
    return create_app(store, Config("", ADDRESS), lambda: NOW)


def browser_of(app: Flask, store: Store, name: str) -> FlaskClient:
    """Give a browser of somebody who is known already."""
    with store.write() as session:
        secret = open_browser(session, person_called(store, name).number, "A browser", NOW)
    client = app.test_client()
    client.set_cookie("person", secret)
    return client


def everything(store: Store) -> dict[str, list[tuple[object, ...]]]:
    """Return every row of what people have done."""
    with store.read() as session:
        return {
            name: sorted(map(tuple, session.connection().execute(table.select())), key=repr)
            for name, table in Base.metadata.tables.items()
            if name not in MADE_BY_ITSELF
        }


def pages_about(store: Store) -> Iterator[str]:
    """Yield the pages about Brook Athletic's squads, people, sessions and the rest."""
    numbers = [person_called(store, name).number for name in ("Sam Reed", "Alex Moss")]
    yield from (f"/desk/people/{number}" for number in numbers)
    for key in (BROOK_U10, BROOK_U14):
        yield f"/desk/squads/{key}"
        yield f"/desk/squads/{key}/end?from_day=2026-12-01"
        yield f"/desk/season/squads/{key}/begin"
        yield f"/coach/squads/{key}"
    for number in (1, 3):
        yield f"/desk/bookings/{number}"
        yield f"/desk/bookings/{number}/places"
        yield f"/coach/sessions/{number}"
        yield f"/coach/sessions/{number}/pass-on"
    yield from ("/desk/season/matches", "/desk/season/matches/1", "/desk/season/asks")
    yield from ("/desk/season/mails", "/desk/season/changes", "/desk/addresses", "/desk/people")
    yield from ("/desk/addresses/all", f"/desk/evening?date={A_WEDNESDAY}", "/desk/squads")
    yield from ("/coach/give", "/coach")


def forms_about(client: FlaskClient, store: Store) -> dict[str, dict[str, str]]:
    """Return what somebody could send from these pages: fields by address."""
    found: dict[str, dict[str, str]] = {}
    for path in pages_about(store):
        answer = client.get(path)
        assert answer.status_code == 200, (path, answer.status_code)
        for form in Page(answer.text).forms:
            action = form.action or path.partition("?")[0]
            if form.method == "post" and not action.startswith(EVERYBODYS):
                empty = {n: FILL[n] for n in form.names & set(FILL) if not form.values.get(n)}
                altered = {n: ALTERED[n] for n in form.names & set(ALTERED)}
                if "to" not in form.names:
                    altered.pop("from", None)  # a date
                found.setdefault(action, {**form.values, **empty, **altered})
    return dict(sorted(found.items(), key=lambda one: one[0].endswith(LAST)))


def send_all(client: FlaskClient, forms: dict[str, dict[str, str]]) -> Iterator[str]:
    """Send each form in somebody's own browser; yield where it went."""
    csrf = token(client, "/me")
    for action, fields in forms.items():
        values = {**fields, "csrf_token": csrf}
        values.pop(ONCE, None)  # sent once by each of two people
        client.post(action, data=values)
        yield action


def test_no_form_of_a_clubs_secretary_changes_the_other_club(app: Flask, store: Store) -> None:
    """Sent by the other club's secretary each form about a club is refused and changes nothing."""
    noor, kim = browser_of(app, store, NOOR), browser_of(app, store, KIM)
    forms = forms_about(noor, store)
    before = everything(store)
    for action in send_all(kim, forms):
        assert everything(store) == before, action
    did, was = set(), before
    for action in send_all(noor, forms):
        now = everything(store)
        if now != was:
            squad = action.replace(BROOK_U10, "S").replace(BROOK_U14, "S")
            did.add(re.sub(r"\d+", "N", squad))
        was = now
    assert did >= DONE


def test_no_page_leads_a_clubs_secretary_where_they_may_not_go(app: Flask, store: Store) -> None:
    """Every link and form on the pages of a club's secretary is one that opens to them."""
    noor = browser_of(app, store, NOOR)
    places = app.url_map.bind("127.0.0.1:8000")
    seen = set()
    rooms = ("/find", "/me", "/desk/week", "/desk/season/weeks", "/desk/season/ahead")
    tables = ("/desk/tables/squads", "/desk/tables/matches", "/desk/new-squad")
    for path in (*pages_about(store), *rooms, *tables):
        answer = noor.get(path)
        assert answer.status_code == 200, path
        page = Page(answer.text)
        asked = [(link, "GET") for link in page.links]
        asked += [(form.action or path, form.method.upper()) for form in page.forms]
        for address, method in asked:
            target = address.partition("?")[0].partition("#")[0]
            if not target.startswith("/") or target.startswith("/static/"):
                continue
            endpoint, _unused = places.match(target, method)
            seen.add(endpoint)
            roles = roles_of(app, endpoint)
            assert roles == ANYBODY or Role.CLUB_SECRETARY in roles, (path, method, address)
    assert len(seen) > 50


def test_a_clubs_secretary_takes_away_their_own_alone(app: Flask, store: Store) -> None:
    """No table has another club's people or records; who has which ground is no secret."""
    kim, office = browser_of(app, store, KIM), browser_of(app, store, OFFICE)
    seen = 0
    for path in LISTS:
        text = kim.get(f"{path}?as=csv")
        if text.status_code == 200 and path not in GROUND_OF_ALL:
            seen += 1
            found = [word for word in OF_THE_OTHERS if word in text.text]
            assert not found, f"{path}: {found}"
    assert seen >= 10
    assert all(word in office.get("/desk/squads?as=csv").text for word in OF_THE_OTHERS)


def test_a_change_of_both_clubs_names_their_own_squad_alone(app: Flask, store: Store) -> None:
    """Of a change that nobody described the list names what is theirs, and counts no other's."""
    with store.write() as session:
        for key in (WEIR_U10, BROOK_U14):
            session.scalars(select(SquadRow).where(SquadRow.key == key)).one().players += 1
    kim, office = browser_of(app, store, KIM), browser_of(app, store, OFFICE)
    page = "/desk/season/changes"
    for text in (kim.get(page).text, kim.get(f"{page}?as=csv").text):
        assert "Squad “Weir Rovers U10” changed" in text
        assert "U14 Harriers" not in text
    assert "Squad: 2 changed" in office.get(page).text


def test_what_a_clubs_secretary_finds_opens(app: Flask, store: Store) -> None:
    """No link of what is found by typing is shut to them, or leads to the other club's squads."""
    client = browser_of(app, store, KIM)
    for asked in ("u10", "tuesday", "top", "tomorrow", "mails", "brook"):
        page = client.get("/find", query_string={"q": asked}).text
        for link in re.findall(r'<a href="(/[^"]*)"', page[page.index("<main") :]):
            answer = client.get(link.replace("&amp;", "&"))
            assert answer.status_code == 200, (asked, link)
            assert f"/desk/squads/{BROOK_U10}" not in link


def test_an_address_opens_whoever_is_signed_in(app: Flask, store: Store) -> None:
    """A one-time address lets in whom it is for, also where another club's secretary was before."""
    kim = browser_of(app, store, KIM)
    secret = hand_over_link(store, person_called(store, "Sam Reed").number, NOW)
    answer = kim.post(f"/let-in/{secret}", data={"csrf_token": token(kim, "/me")})
    assert answer.status_code == 302
    assert "Sam Reed" in kim.get("/me").text


def test_a_clubs_secretary_is_not_shown_how_to_end_themselves(app: Flask, store: Store) -> None:
    """The office ends them; sent all the same, the form is refused in words that say so."""
    kim, number = browser_of(app, store, KIM), person_called(store, KIM).number
    assert f"/desk/people/{number}/end" not in kim.get(f"/desk/people/{number}").text
    sent = {"csrf_token": token(kim, "/me"), "version": "0"}
    answer = kim.post(f"/desk/people/{number}/end", data=sent)
    assert answer.status_code == 422
    assert OFFICE in answer.text
