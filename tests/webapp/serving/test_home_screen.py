"""What a phone needs to put a page on its home screen."""

from __future__ import annotations

import json
import re
from io import BytesIO
from typing import TYPE_CHECKING
from urllib.parse import urljoin

import pytest
from PIL import Image

from clubplanner.domain.club.people import Role
from clubplanner.outputs.drawings.app_icon import draw_app_icon
from clubplanner.resources import resource_folder
from tests.webapp.conftest import sign_in

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

HOST = "https://pitches.example.org"
ICON = (resource_folder("web") / "static" / "icon.svg").read_text("utf-8")


def manifest_of(client: FlaskClient, page: str, below: str = "") -> tuple[str, dict[str, object]]:
    """Return the address of a page's manifest and what is in it."""
    where = {"SCRIPT_NAME": below}
    found = re.search(
        r'<link rel="manifest" href="([^"]+)">', client.get(page, environ_overrides=where).text
    )
    assert found is not None
    address = found[1]
    answer = client.get(address.removeprefix(below), environ_overrides=where)
    assert answer.headers["Content-Type"] == "application/manifest+json"
    return HOST + address, json.loads(answer.text)


@pytest.mark.parametrize("below", ["", "/pitches"])
def test_a_squads_page_begins_at_its_own_address(
    stranger: FlaskClient, secret: str, below: str
) -> None:
    """Name, start and reach are the squad's, wherever the pages are served (W3C manifest, 1.1)."""
    at, manifest = manifest_of(stranger, f"/ground/{secret}", below)
    assert urljoin(at, str(manifest["start_url"])) == f"{HOST}{below}/ground/{secret}"
    assert urljoin(at, str(manifest["scope"])) == f"{HOST}{below}/"
    assert manifest["name"] == "U13 Kestrels, Tarnholt Wanderers"
    assert manifest["short_name"] == "U13 Kestrels"
    assert manifest["display"] == "standalone"


@pytest.mark.parametrize("below", ["", "/pitches"])
def test_a_coachs_page_and_everybody_elses_begin_where_they_start(
    app: Flask, club_store: Store, stranger: FlaskClient, below: str
) -> None:
    """A coach at their ground, others at the front door; no secret is asked for."""
    coach = sign_in(app, club_store, Role.COACH, "u13-kestrels")
    at, manifest = manifest_of(coach, "/coach", below)
    assert urljoin(at, str(manifest["start_url"])) == f"{HOST}{below}/coach"
    assert urljoin(at, str(manifest["scope"])) == f"{HOST}{below}/"
    assert stranger.get("/coach/app.webmanifest").status_code == 200
    at, manifest = manifest_of(stranger, "/", below)
    assert urljoin(at, str(manifest["start_url"])) == f"{HOST}{below}/"
    assert manifest["name"] == "Tarnholt Wanderers"
    assert manifest["short_name"] == "Tarnholt", "whole words, as many as stand below an icon"


def test_icons_are_there_as_large_as_they_say(stranger: FlaskClient, secret: str) -> None:
    """Each is a PNG of its size, kept by browsers; another name leads nowhere."""
    at, manifest = manifest_of(stranger, f"/ground/{secret}")
    icons = manifest["icons"]
    assert isinstance(icons, list)
    assert {icon["purpose"] for icon in icons} == {"any", "maskable"}
    for icon in icons:
        path = urljoin(at, icon["src"]).removeprefix(HOST)
        answer = stranger.get(path)
        assert answer.headers["Content-Type"] == icon["type"] == "image/png"
        picture = Image.open(BytesIO(answer.data))
        assert "{}x{}".format(*picture.size) == icon["sizes"]
        known = {"If-None-Match": answer.headers["ETag"]}
        assert stranger.get(path, headers=known).status_code == 304
    assert stranger.get("/app-icon-7.png").status_code == 404


def test_a_maskable_icon_lies_within_the_circle_that_stays() -> None:
    """Beyond two fifths of the side from the middle there is paper only (W3C manifest, masks)."""
    plain, masked = (
        Image.open(BytesIO(draw_app_icon(ICON, 200, is_maskable=is_maskable))).convert("RGB")
        for is_maskable in (False, True)
    )
    paper = masked.getpixel((0, 0))
    drawn = [(x, y) for x in range(200) for y in range(200) if masked.getpixel((x, y)) != paper]
    assert len(drawn) > 2000
    assert max((x - 99.5) ** 2 + (y - 99.5) ** 2 for x, y in drawn) <= 80.5**2
    assert plain.getpixel((50, 100)) != paper


def test_an_icon_that_is_no_square_is_refused() -> None:
    """It would be drawn askew."""
    with pytest.raises(ValueError, match="square"):
        draw_app_icon('<svg viewBox="0 0 32 20"></svg>', 64, is_maskable=False)


def test_an_address_that_was_withdrawn_has_no_manifest(stranger: FlaskClient) -> None:
    """Nor has one that never was."""
    assert stranger.get("/ground/never/app.webmanifest").status_code == 404


def test_pages_let_browsers_fetch_it(stranger: FlaskClient, secret: str) -> None:
    """Ours and no other's (Content Security Policy, level 3, "manifest-src")."""
    policy = stranger.get(f"/ground/{secret}").headers["Content-Security-Policy"]
    assert "manifest-src 'self'" in policy.split("; ")
