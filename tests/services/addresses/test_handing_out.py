"""All squads' addresses in one press: whose are made, as a sheet, and taken back."""

from __future__ import annotations

import io
import shutil
from datetime import timedelta
from typing import TYPE_CHECKING

import pypdf
import pytest
from sqlalchemy import func, select

from clubplanner.errors import MissingError, RefusedError
from clubplanner.services.addresses.address_sheet import print_addresses
from clubplanner.services.addresses.handing_out import (
    HandOutWish,
    Reader,
    Scope,
    list_squads_to_hand,
    make_sheet,
    strips_again,
)
from clubplanner.services.addresses.links import (
    create_squad_link,
    link_of_secret,
    revoke_squad_links,
)
from clubplanner.services.calendars.calendar_links import list_links, withdraw_link
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.store.tables.link_tables import LinkRow
from tests.builders import NOW
from tests.small_club import HARRIERS, KESTRELS, SQUADS, load_small_club

if TYPE_CHECKING:
    from clubplanner.services.addresses.handing_out import Strip
    from clubplanner.store.engine import Store

LATER = NOW + timedelta(minutes=1)
FAMILIES = frozenset({Reader.FAMILIES})
BOTH = frozenset(Reader)
EVERYBODY = HandOutWish(BOTH, Scope.ALL)


def opens(store: Store, strip: Strip) -> bool:
    """Tell whether a strip's address opens something."""
    with store.read() as session:
        try:
            return link_of_secret(session, strip.secret).revoked_at is None
        except MissingError:
            return False


def test_one_press_makes_an_address_a_squad_and_a_coach_each_named(small: Store) -> None:
    """Squads come first, in the club's order; each says what it is for and opens."""
    strips = make_sheet(small, HandOutWish(BOTH), NOW)
    assert [(one.name, one.path.split("/")[1]) for one in strips] == [
        ("U12 Kestrels", "ground"),
        ("U14 Harriers", "ground"),
        ("Robin Hale", "calendar"),
        ("Sam Reed", "calendar"),
    ]
    assert all(opens(small, one) for one in strips)
    assert "U12 Kestrels" in strips[0].purpose
    assert "Robin Hale" in strips[2].purpose
    assert {line.holder for line in list_links(small)} == {
        "parents and players",
        "Robin Hale",
        "Sam Reed",
    }


def test_what_is_in_use_is_not_made_anew_unless_asked(small: Store) -> None:
    """Only those without get one; for all, another is made and the first goes on opening."""
    first = create_squad_link(small, KESTRELS, "Robin Hale", NOW)
    assert [one.name for one in make_sheet(small, HandOutWish(FAMILIES), NOW)] == ["U14 Harriers"]
    with pytest.raises(RefusedError, match="has an address already"):
        make_sheet(small, HandOutWish(FAMILIES), NOW)
    assert len(make_sheet(small, HandOutWish(FAMILIES, Scope.ALL), NOW)) == 2
    with small.read() as session:
        assert link_of_secret(session, first).revoked_at is None
    assert [line.in_use for line in list_squads_to_hand(small)] == [2, 2]
    revoke_squad_links(small, KESTRELS, LATER)
    assert [one.name for one in make_sheet(small, HandOutWish(FAMILIES), NOW)] == ["U12 Kestrels"]


def test_only_ticked_squads_and_their_coaches(small: Store) -> None:
    """Of those ticked alone, and never of a guess: ticks beside another choice are asked about."""
    ticked = HandOutWish(BOTH, Scope.TICKED, frozenset({HARRIERS}))
    assert [one.name for one in make_sheet(small, ticked, NOW)] == ["U14 Harriers", "Sam Reed"]
    for wish, words in (
        (HandOutWish(BOTH, Scope.TICKED), "Tick the squads"),
        (HandOutWish(BOTH, Scope.ALL, frozenset({HARRIERS})), "only those ticked"),
        (HandOutWish(BOTH, Scope.TICKED, frozenset({"u99"})), "no longer exists"),
        (HandOutWish(frozenset(), Scope.ALL), "Say for whom"),
    ):
        with pytest.raises(RefusedError, match=words):
            make_sheet(small, wish, NOW)


def test_a_coach_of_several_squads_gets_one_calendar(empty_store: Store) -> None:
    """One address a person, which names all their squads, also where one of them is ticked."""
    store = load_small_club(empty_store, squads=SQUADS.replace("Sam Reed", "Robin Hale"))
    wish = HandOutWish(frozenset({Reader.COACHES}), Scope.TICKED, frozenset({HARRIERS}))
    (strip,) = make_sheet(store, wish, NOW)
    assert strip.name == "Robin Hale"
    assert "U12 Kestrels, U14 Harriers" in strip.purpose


def test_the_press_is_one_change_and_taken_back_as_one(small: Store) -> None:
    """Taken back, all its addresses open nothing; those from before still do."""
    first = create_squad_link(small, KESTRELS, "Robin Hale", NOW)
    strips = make_sheet(small, EVERYBODY, LATER)
    change = list_changes(small, LATER)[0]
    assert change.words == "made a sheet of 4 addresses to hand out"
    assert change.obstacles == ()
    undo_change(small, change.number, LATER)
    assert not any(opens(small, one) for one in strips)
    with small.read() as session:
        assert link_of_secret(session, first).revoked_at is None
    with pytest.raises(RefusedError, match="have been withdrawn"):
        strips_again(small, [one.secret for one in strips])


def test_a_withdrawal_by_mistake_is_taken_back(small: Store) -> None:
    """The address that was withdrawn opens again, and the journal never holds what opens it."""
    (strip, *_rest) = make_sheet(small, EVERYBODY, NOW)
    number = next(line.number for line in list_links(small) if line.subject == strip.name)
    withdraw_link(small, number, LATER)
    assert not opens(small, strip)
    change = list_changes(small, LATER)[0]
    assert change.words == "withdrew the address of parents and players"
    undo_change(small, change.number, LATER)
    assert opens(small, strip)


def test_a_page_brings_its_addresses_along_for_the_file(small: Store) -> None:
    """In their order, without what was withdrawn meanwhile and without what nobody made."""
    strips = make_sheet(small, EVERYBODY, NOW)
    carried = [one.secret for one in strips]
    assert strips_again(small, [*carried, "nobody-made-this", "x" * 5000]) == strips
    number = next(line.number for line in list_links(small) if line.subject == strips[0].name)
    withdraw_link(small, number, LATER)
    assert strips_again(small, carried) == strips[1:]


def test_the_sheet_is_read_back_with_every_address(empty_store: Store) -> None:
    """A PDF that another reader opens: names in any script, the whole address, as a link too."""
    squads = SQUADS.replace("U12 Kestrels", "نسور تحت ١٢").replace("Robin Hale", "Žofie Šťastná")
    store = load_small_club(empty_store, squads=squads)
    strips = make_sheet(store, EVERYBODY, NOW)
    begins = "http://[2001:db8::1]:8123"
    data = print_addresses(store, strips, begins, NOW)
    reader = pypdf.PdfReader(io.BytesIO(data))
    links = [
        note["/A"]["/URI"]
        for page in reader.pages
        for note in (one.get_object() for one in page.get("/Annots", ()))
    ]
    assert set(links) == {f"{begins}{one.path}" for one in strips}
    text = "".join(page.extract_text() for page in reader.pages)
    assert "U14 Harriers" in text
    assert "Žofie Šťastná" in text


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="pdftoppm draws the page")
def test_each_code_of_the_sheet_opens_its_own_address(small: Store) -> None:
    """A reader of codes that we did not write finds every address once (ISO/IEC 18004)."""
    import subprocess

    import zxingcpp
    from PIL import Image

    strips = make_sheet(small, EVERYBODY, NOW)
    data = print_addresses(small, strips, "https://pitches.example", NOW)
    drawn = subprocess.run(
        ["pdftoppm", "-r", "150", "-gray", "-png"], input=data, capture_output=True, check=True
    ).stdout
    read = zxingcpp.read_barcodes(Image.open(io.BytesIO(drawn)))
    assert {one.text for one in read} == {f"https://pitches.example{one.path}" for one in strips}


@pytest.mark.files
def test_no_secret_is_kept(small: Store) -> None:
    """What opens an address stands nowhere in the database, the journal included."""
    strips = make_sheet(small, EVERYBODY, NOW)
    with small.read() as session:
        assert session.scalar(select(func.count(LinkRow.id))) == len(strips)
        dump = "\n".join(session.connection().connection.iterdump())
    assert not any(one.secret in dump for one in strips)
