"""Styles, scripts, fonts and icons: kept for a year under their fingerprint, never stale."""

from __future__ import annotations

import re
import shutil
from typing import TYPE_CHECKING
from urllib.parse import urljoin

import pytest

from clubplanner.resources import resource_folder
from clubplanner.webapp.serving.static_files import ASK_AGAIN, FOR_A_YEAR, StaticFiles
from tests.serving import ask, serving

if TYPE_CHECKING:
    from pathlib import Path

    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

FOLDER = resource_folder("web") / "static"
IMPORT = re.compile(r"""\b(?:import|from)\s*\(?\s*["']([^"']+)["']""")
URL = re.compile(r"""url\(["']?([^"')]+)["']?\)""")


@pytest.fixture
def files(tmp_path: Path) -> Path:
    """Give a copy of the static files that may be changed."""
    return shutil.copytree(FOLDER, tmp_path / "static")


def test_served_files_are_kept_for_a_year(club_store: Store, store_path: Path) -> None:
    """Whatever a page names, and whatever that names, has a fingerprint and is kept."""
    with serving(store_path) as served:
        page = ask(served.port, "/sign-in").body.decode()
        named = re.findall(r'(?:href|src)="(/static/[^"]+)"', page)
        assert {address.rpartition("/")[2] for address in named} == {"pages.css", "icon.svg"}
        style = next(address for address in named if address.endswith(".css"))
        fonts = URL.findall(ask(served.port, style).body.decode())
        assert len(fonts) == 10
        for address in (*named, *(urljoin(style, font) for font in fonts)):
            answer = ask(served.port, address)
            assert answer.status == 200
            assert answer.headers["Cache-Control"] == FOR_A_YEAR
            assert re.match(r"/static/[0-9a-f]{12}/", address)


def test_an_unknown_fingerprint_gives_the_present_file_to_be_asked_for_again(
    stranger: FlaskClient,
) -> None:
    """A page from before an upgrade still looks like something, and nothing wrong is kept."""
    wanted = (FOLDER / "css" / "pages.css").read_bytes()
    for folder in ("/static/0123456789ab", "/static"):
        answer = stranger.get(f"{folder}/css/pages.css")
        assert answer.data == wanted
        assert answer.headers["Cache-Control"] == ASK_AGAIN
        tag = answer.headers["ETag"]
        again = stranger.get(f"{folder}/css/pages.css", headers={"If-None-Match": tag})
        assert again.status_code == 304
        assert again.data == b""
    for path in ("/static/css/none.css", "/static/../pyproject.toml", "/static/", "/static/css"):
        assert stranger.get(path).status_code == 404


def test_the_fingerprint_follows_content_and_names(files: Path) -> None:
    """Equal folders have equal fingerprints; any change of a file, or of its name, another one."""
    first = StaticFiles(files).fingerprint
    assert first == StaticFiles(FOLDER).fingerprint
    style = files / "css" / "pages.css"
    style.write_bytes(style.read_bytes() + b"\n")
    second = StaticFiles(files).fingerprint
    style.rename(style.with_name("page.css"))
    assert len({first, second, StaticFiles(files).fingerprint}) == 3


def test_files_name_each_other_by_relative_addresses() -> None:
    """An address from the root would leave the fingerprint behind."""
    for path in sorted(FOLDER.rglob("*.css")) + sorted(FOLDER.rglob("*.js")):
        text = path.read_text(encoding="utf-8")
        for target in (*URL.findall(text), *(IMPORT.findall(text) if path.suffix == ".js" else ())):
            assert not target.startswith(("/", "http")), path
            assert (path.parent / target).is_file(), path


def test_the_service_worker_knows_the_present_files(stranger: FlaskClient) -> None:
    """It keeps by fingerprint what pages need, and changes with any file."""
    answer = stranger.get("/service-worker.js")
    found = re.search(r'const STATIC = "(/static/[0-9a-f]{12})";', answer.text)
    assert found is not None
    listed = re.findall(r'^  "([a-z]+/[\w.-]+)",$', answer.text, re.MULTILINE)
    assert len(listed) == 3
    for name in listed:
        assert stranger.get(f"{found[1]}/{name}").headers["Cache-Control"] == FOR_A_YEAR
    assert answer.headers["Cache-Control"] == "no-cache"
    tag = answer.headers["ETag"]
    again = stranger.get("/service-worker.js", headers={"If-None-Match": tag})
    assert again.status_code == 304
