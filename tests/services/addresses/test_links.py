"""Unguessable addresses of squads."""

from __future__ import annotations

import hashlib
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.club.people import Role
from clubplanner.errors import MissingError
from clubplanner.services.addresses.links import (
    SECRET_BYTES,
    create_squad_link,
    hash_secret,
    load_form_secret,
    revoke_squad_links,
    squad_of_secret,
)
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.passwords import create_secretary_key, set_password
from clubplanner.services.people.ways_in.sign_in_links import hand_over_link
from clubplanner.store.tables.link_tables import LinkRow
from tests.builders import NOW, NOW_KEPT

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store

SQUAD = "u13-kestrels"
PASSWORD = "four words make it long"


def squad_key(store: Store, secret: str) -> str:
    """Return the key of the squad an address belongs to."""
    with store.read() as session:
        return squad_of_secret(session, secret).key


def everything_on_disk(path: Path) -> bytes:
    """Return the bytes of a database's file and of all that lies beside it."""
    return b"".join(file.read_bytes() for file in sorted(path.parent.glob(f"{path.name}*")))


def test_an_address_leads_to_its_squad(club_store: Store) -> None:
    """Each address opens one squad's pages; several may be in use."""
    secrets = {
        key: [create_squad_link(club_store, key, "Coach", NOW) for _ in range(2)]
        for key in (SQUAD, "u14-harriers")
    }
    for key, made in secrets.items():
        assert [squad_key(club_store, secret) for secret in made] == [key, key]


def test_addresses_cannot_be_guessed(club_store: Store) -> None:
    """Each has 192 random bits, written so that any address may hold them."""
    made = {create_squad_link(club_store, SQUAD, "Coach", NOW) for _ in range(20)}
    assert len(made) == 20
    assert SECRET_BYTES * 8 == 192
    for secret in made:
        assert len(secret) == SECRET_BYTES * 4 // 3
        assert secret.replace("-", "").replace("_", "").isalnum()
        assert secret.isascii()


@pytest.mark.files
def test_no_secret_is_ever_on_the_disk(club_store: Store, store_path: Path) -> None:
    """The file holds the hashes of addresses, keys and browsers, and nothing to open them with."""
    link = create_squad_link(club_store, SQUAD, "Coach", NOW)
    key, second = (create_secretary_key(club_store, NOW) for _ in range(2))
    third = create_secretary_key(club_store, NOW)
    browser = set_password(club_store, key, "Robin", "", PASSWORD, "A browser", NOW)
    coach = add_person(club_store, PersonDraft("Sam", Role.COACH, ""), NOW)
    handed = hand_over_link(club_store, coach, NOW)
    written = everything_on_disk(store_path)
    for secret in (link, key, second, third, browser, handed, PASSWORD):
        assert secret.encode() not in written
    for secret in (link, browser, handed):
        assert hashlib.sha256(secret.encode()).hexdigest().encode() in written


def test_the_hash_is_the_published_one() -> None:
    """SHA-256 of "abc" (FIPS 180-2, appendix B.1)."""
    assert hash_secret("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def refusal(store: Store, secret: str) -> str:
    """Return what is said to somebody whose address leads nowhere."""
    with pytest.raises(MissingError) as caught:
        squad_key(store, secret)
    return str(caught.value)


def test_revoked_and_unknown_addresses_look_the_same(club_store: Store) -> None:
    """Nobody can tell from the answer whether an address was ever in use."""
    secret = create_squad_link(club_store, SQUAD, "Coach", NOW)
    assert revoke_squad_links(club_store, SQUAD, NOW) == 1
    said = refusal(club_store, secret)
    assert said == (
        "This address is not (or no longer) in use; ask the club's secretary for a new one."
    )
    for other in ("", "x", secret[:-1], secret + "x", secret.swapcase(), "x" * 10_000):
        assert refusal(club_store, other) == said
    assert refusal(club_store, hash_secret(secret)) == said


def test_revoking_stops_every_address_of_one_squad(club_store: Store) -> None:
    """Addresses of other squads, and new ones, go on working; rows stay with their date."""
    for _ in range(3):
        create_squad_link(club_store, SQUAD, "Coach", NOW)
    other = create_squad_link(club_store, "u14-harriers", "Coach", NOW)
    later = NOW_KEPT + timedelta(days=1)
    assert revoke_squad_links(club_store, "U13 Kestrels", later) == 3
    assert revoke_squad_links(club_store, SQUAD, later) == 0
    assert squad_key(club_store, other) == "u14-harriers"
    new = create_squad_link(club_store, SQUAD, "Coach", later)
    assert squad_key(club_store, new) == SQUAD
    with club_store.read() as session:
        revoked = session.scalars(select(LinkRow.revoked_at)).all()
    assert sorted(map(str, revoked)) == sorted(map(str, [later, later, later, None, None]))


def test_a_squad_that_is_not_there_is_told_with_those_that_are(club_store: Store) -> None:
    """The message lists the keys."""
    for use in (
        lambda store: create_squad_link(store, "u99", "Coach", NOW),
        lambda store: revoke_squad_links(store, "u99", NOW),
    ):
        with pytest.raises(MissingError, match="no squad “u99”; the squads are: u7-wrens, "):
            use(club_store)


def test_without_any_squad_none_is_listed(empty_store: Store) -> None:
    """An empty club says so."""
    with pytest.raises(MissingError, match="the squads are: none yet"):
        create_squad_link(empty_store, "u99", "Coach", NOW)


def test_the_secret_of_forms_is_made_once(empty_store: Store) -> None:
    """It stays the same for as long as the database does, so open forms outlive a restart."""
    made = load_form_secret(empty_store)
    assert load_form_secret(empty_store) == made
    assert len(made) == SECRET_BYTES * 4 // 3
