"""Text is sent compressed to whoever takes it so, and validators go on working."""

from __future__ import annotations

import gzip
import io
import json
import re
from datetime import date
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from flask import Flask, Response

from clubplanner.webapp.base.taking_away import send_in_parts
from clubplanner.webapp.serving import compression
from clubplanner.webapp.serving.compression import LEAST_BYTES, squeeze
from tests.builders import NOW, make_range
from tests.commands.addresses.test_where_served import signed_in_cookie
from tests.serving import ask, run_command, serving
from tests.stores import make_wish, put_booking

if TYPE_CHECKING:
    from pathlib import Path

    import pytest
    from flask.testing import FlaskClient
    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.store.engine import Store

GZIP = "gzip, deflate, br"
LONG = "Osier Lane, top pitch, north third. " * 100


def varies(vary: str | None) -> set[str]:
    """Return what an answer depends on, in small letters."""
    return {name.strip().lower() for name in (vary or "").split(",")}


def test_a_page_is_sent_in_a_fraction_of_its_bytes(club_store: Store, store_path: Path) -> None:
    """Compressed it is the same page; who does not take gzip gets it as it is."""
    cookie = signed_in_cookie(club_store)
    with serving(store_path) as served:
        plain = ask(served.port, "/desk/squads", Cookie=cookie)
        packed = ask(served.port, "/desk/squads", Cookie=cookie, Accept_Encoding=GZIP)
        refused = ask(served.port, "/desk/squads", Cookie=cookie, Accept_Encoding="gzip;q=0")
        head = ask(served.port, "/desk/squads", method="HEAD", Cookie=cookie, Accept_Encoding=GZIP)
    assert packed.headers["Content-Encoding"] == head.headers["Content-Encoding"] == "gzip"
    assert len(packed.body) * 3 < len(plain.body)
    assert int(packed.headers["Content-Length"]) == len(packed.body)
    assert b"U13 Kestrels" in gzip.decompress(packed.body)
    assert head.body == b""
    assert abs(int(head.headers["Content-Length"]) - len(packed.body)) < 200
    for answer in (plain, refused):
        assert "Content-Encoding" not in answer.headers
        assert b"U13 Kestrels" in answer.body
    for answer in (plain, packed, refused, head):
        assert "accept-encoding" in varies(answer.headers["Vary"])


def test_a_feed_keeps_strong_etags_in_both_forms(club_store: Store, store_path: Path) -> None:
    """Each form has an ETag of its own, and either is answered with 304, by HEAD too."""
    for year in (2047, 2048, 2049):
        during = make_range(date(year, 11, 17))
        put_booking(club_store, make_wish(club_store, during=during), NOW)
    with serving(store_path) as served:
        wish = "squad", "u13-kestrels", "--holder", "the squad", "--json"
        made = json.loads(run_command(store_path, "addresses", "add", *wish).stdout)
        path = urlsplit(made["feed"]).path
        plain = ask(served.port, path)
        packed = ask(served.port, path, Accept_Encoding=GZIP)
        assert gzip.decompress(packed.body) == plain.body
        assert packed.body == ask(served.port, path, Accept_Encoding=GZIP).body
        tags = plain.headers["ETag"], packed.headers["ETag"]
        assert tags[0] != tags[1]
        assert not any(tag.startswith("W/") for tag in tags)
        for method in ("GET", "HEAD"):
            for tag in tags:
                for accepted in ("identity", GZIP):
                    answer = ask(
                        served.port,
                        path,
                        method=method,
                        If_None_Match=tag,
                        Accept_Encoding=accepted,
                    )
                    assert answer.status == 304
                    assert answer.body == b""
                    assert answer.headers["ETag"] == tag
                    assert "accept-encoding" in varies(answer.headers["Vary"])
                    assert "Content-Encoding" not in answer.headers
        both = ask(served.port, path, If_None_Match=f'"other", {tags[1]}')
        assert both.status == 304
        fresh = ask(served.port, path, If_None_Match='"other-gz"', Accept_Encoding=GZIP)
        assert fresh.status == 200
        assert fresh.headers["ETag"] == tags[1]


def test_static_text_is_compressed_once(
    stranger: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However often it is asked for, a file is compressed at the first request alone."""
    style = stranger.application.extensions["static files"].address + "/css/pages.css"
    first = stranger.get(style, headers={"Accept-Encoding": GZIP})
    assert first.headers["Content-Encoding"] == "gzip"
    monkeypatch.delattr(compression, "squeeze")
    second = stranger.get(style, headers={"Accept-Encoding": GZIP})
    assert second.data == first.data
    plain = stranger.get(style)
    assert plain.data == gzip.decompress(first.data)
    assert plain.headers["ETag"] != first.headers["ETag"]
    tag = first.headers["ETag"]
    assert stranger.get(style, headers={"If-None-Match": tag}).status_code == 304


def test_what_is_compressed_already_stays_as_it_is(
    stranger: FlaskClient, desk: FlaskClient
) -> None:
    """Fonts for the web, pictures and PDF are sent as they are."""
    folder = stranger.application.extensions["static files"].address
    for path in (
        f"{folder}/fonts/AtkinsonHyperlegibleNext-Bold.woff2",
        f"{folder}/pictures/coach_ground.png",
        "/desk/board/osier-lane/sheet.pdf",
    ):
        answer = desk.get(path, headers={"Accept-Encoding": GZIP})
        assert answer.status_code == 200
        assert len(answer.data) > LEAST_BYTES
        assert "Content-Encoding" not in answer.headers


def tiny_app(answer: Response) -> FlaskClient:
    """Return a browser of an app that gives one answer."""
    app = Flask("tiny")
    compression.register(app)
    app.add_url_rule("/", "only", lambda: answer)
    return app.test_client()


def test_nothing_is_compressed_twice_or_in_vain() -> None:
    """What is encoded, short, or a part of something is left alone."""
    packed = squeeze(LONG.encode(), 6)
    for answer in (
        Response(packed, mimetype="text/plain", headers={"Content-Encoding": "gzip"}),
        Response(LONG, 206, mimetype="text/plain"),
        Response("short", mimetype="text/plain"),
        Response(iter([LONG]), mimetype="text/plain"),
    ):
        before = dict(answer.headers)
        got = tiny_app(answer).get("/", headers={"Accept-Encoding": GZIP})
        assert got.headers.get("Content-Encoding") == before.get("Content-Encoding")
        assert got.data in (packed, LONG.encode(), b"short")


def test_a_large_file_is_compressed_in_parts() -> None:
    """No part waits for the last one; who takes no gzip has the same bytes; it is closed then."""
    data = b"".join(f"{n}: {LONG}".encode() for n in range(400))
    files: list[io.BytesIO] = []

    def answer() -> BaseResponse:
        files.append(io.BytesIO(data))
        return send_in_parts(files[-1], "all.json", "application/json")

    app = Flask("tiny")
    compression.register(app)
    app.add_url_rule("/", "only", answer)
    got = app.test_client().get("/", headers={"Accept-Encoding": GZIP}, buffered=False)
    assert got.headers["Content-Encoding"] == "gzip"
    sent = iter(got.iter_encoded())
    first = next(sent)
    assert files[0].tell() < len(data)
    assert gzip.decompress(first + b"".join(sent)) == data
    plain = app.test_client().get("/")
    assert "Content-Encoding" not in plain.headers
    assert plain.data == data
    assert "accept-encoding" in varies(plain.headers["Vary"])
    app.test_client().head("/").close()
    assert len(files) == 3
    assert all(file.closed for file in files)


def test_a_weak_etag_holds_for_both_forms() -> None:
    """It promises the same meaning, not the same bytes (RFC 9110, section 8.8.1)."""
    answer = Response(LONG, mimetype="text/plain")
    answer.set_etag("abc", weak=True)
    got = tiny_app(answer).get("/", headers={"Accept-Encoding": GZIP})
    assert got.headers["Content-Encoding"] == "gzip"
    assert got.headers["ETag"] == 'W/"abc"'


def test_the_length_of_a_page_tells_nothing_exact(stranger: FlaskClient, desk: FlaskClient) -> None:
    """Twenty times the same page: not the same length, and always the same words."""
    app = Flask("tiny")
    compression.register(app)
    app.add_url_rule("/", "only", lambda: Response(LONG, mimetype="text/html"))
    got = [app.test_client().get("/", headers={"Accept-Encoding": GZIP}).data for _ in range(20)]
    assert len({len(data) for data in got}) > 3
    assert {gzip.decompress(data).decode() for data in got} == {LONG}


def test_the_token_of_forms_changes_with_the_time(
    desk: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who guesses a token from lengths would have to be done within a second."""
    seen = []
    for at_s in (1_800_000_000, 1_800_000_001, 1_800_000_001):
        monkeypatch.setattr("itsdangerous.timed.TimestampSigner.get_timestamp", lambda _, s=at_s: s)
        seen.append(re.findall(r'name="csrf_token" value="([^"]+)"', desk.get("/me").text)[0])
    parts = [token.rpartition(".") for token in seen]
    assert parts[0][2] != parts[1][2]
    assert seen[1] == seen[2]
