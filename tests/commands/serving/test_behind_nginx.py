"""The shipped settings of a server in front, tried with that server, https and a browser's eyes."""

from __future__ import annotations

import http.client
import os
import re
import shutil
import ssl
import subprocess
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING

import pytest

from clubplanner.resources import resource_folder
from clubplanner.services.addresses.links import create_squad_link
from tests.builders import NOW
from tests.clubs.lists import as_toml, plain, write
from tests.commands.serving.test_many_clubs import serving_clubs
from tests.ports import free_port
from tests.serving import ANSWER_S, Answer, serving

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store

HOST = "pitches.example.org"
WAYS = {"nginx-host.conf": "", "nginx-path.conf": "/pitches"}
_LEADS = re.compile(r'\s(?:href|src|action)="(/[^"]*)"')


@pytest.fixture(scope="module")
def nginx() -> str:
    """Name the server; without one here the test is skipped, in CI it fails."""
    found = shutil.which("nginx", path=f"{os.environ['PATH']}:/usr/sbin")
    if found is None:
        message = "no nginx on this machine (Debian: apt-get install nginx-light)"
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    return found


@pytest.fixture(scope="module")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Make a certificate that signs itself, and its key."""
    folder = tmp_path_factory.mktemp("certificate")
    key, made = folder / "key.pem", folder / "made.pem"
    command = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2"]
    command += ["-subj", f"/CN={HOST}", "-addext", f"subjectAltName=DNS:{HOST}"]
    command += ["-keyout", str(key), "-out", str(made)]
    subprocess.run(command, check=True, capture_output=True)
    return made, key


@pytest.mark.parametrize("name", WAYS)
def test_pages_stay_whole_behind_it(
    nginx: str, certificate: tuple[Path, Path], club_store: Store, store_path: Path, name: str
) -> None:
    """A squad's page by https: its styles are there, its links stay, and http leads to it."""
    secret = create_squad_link(club_store, "u13-kestrels", "a test", NOW)
    under, port = WAYS[name], free_port()
    settings = {"CLUBPLANNER_PUBLIC_ADDRESS": f"https://{HOST}{under}", "CLUBPLANNER_PROXIES": "1"}
    with (
        serving(store_path, "--port", "0", folder=None, **settings) as served,
        _in_front(nginx, certificate, store_path.parent, name, port, served.port),
    ):
        page = _ask(certificate[0], port, f"{under}/ground/{secret}")
        assert page.status == 200
        leads = _LEADS.findall(page.body.decode())
        assert leads
        assert [lead for lead in leads if not lead.startswith(f"{under}/")] == []
        (style,) = (lead for lead in leads if lead.endswith("/css/pages.css"))
        assert _ask(certificate[0], port, style).status == 200
        away = _ask(certificate[0], port, f"{under}/desk/evening")
        assert away.status == 302
        assert str(away.headers["Location"]).startswith(f"{under}/sign-in")
        feed = _ask(certificate[0], port, f"{under}/ground/{secret}/sessions.ics")
        assert f"https://{HOST}{under}/ground/{secret}".encode() in re.sub(
            rb"\r\n[ \t]", b"", feed.body
        )


def test_many_clubs_stay_apart_behind_it(
    nginx: str, certificate: tuple[Path, Path], club_file: Path, tmp_path: Path
) -> None:
    """On paths of one host by https each club has its own cookies, and the root has no club."""
    port, planner_port = free_port(), free_port()
    clubs = {name: plain(name, f"https://{HOST}/{name}") for name in ("kestrels", "rovers")}
    for name in clubs:
        shutil.copy(club_file, tmp_path / f"{name}.sqlite")
    file = tmp_path / "clubs.toml"
    write(file, as_toml(clubs))
    with (
        serving_clubs(file, planner_port, CLUBPLANNER_PROXIES="1"),
        _in_front(nginx, certificate, tmp_path, "nginx-many.conf", port, planner_port),
    ):
        for name in clubs:
            page = _ask(certificate[0], port, f"/{name}/sign-in")
            assert page.status == 200
            cookies = page.headers.get_all("Set-Cookie") or []
            assert cookies
            assert all(f"Path=/{name};" in f"{each};" for each in cookies)
            assert all(each.startswith("__Secure-") for each in cookies)
            leads = _LEADS.findall(page.body.decode())
            assert [lead for lead in leads if not lead.startswith(f"/{name}/")] == []
        assert _ask(certificate[0], port, "/").status == 404


@contextmanager
def _in_front(
    nginx: str,
    certificate: tuple[Path, Path],
    folder: Path,
    name: str,
    port: int,
    planner_port: int,
) -> Iterator[None]:
    """Run nginx with the shipped settings, its ports and certificate put in."""
    text = (resource_folder("web") / "running" / name).read_text(encoding="utf-8")
    if name == "nginx-path.conf":
        paths = f"ssl_certificate {certificate[0]};\nssl_certificate_key {certificate[1]};\n"
        text = f"server {{\nlisten 443 ssl;\n{paths}{text}}}\n"
    for pattern, own in (
        (r"listen 443 ssl", f"listen 127.0.0.1:{port} ssl"),
        (r"listen 80\b", f"listen 127.0.0.1:{free_port()}"),
        (r"127\.0\.0\.1:8000", f"127.0.0.1:{planner_port}"),
        (r"/etc/ssl/certs/pitches\.pem", str(certificate[0])),
        (r"/etc/ssl/private/pitches\.key", str(certificate[1])),
    ):
        text = re.sub(pattern, own, text)
    kept = "".join(
        f"{part}_temp_path {folder / part};\n"
        for part in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    file = folder / "nginx.conf"
    file.write_text(
        f"pid {folder / 'nginx.pid'};\nerror_log {folder / 'nginx.log'};\nevents {{}}\n"
        f"http {{\naccess_log off;\n{kept}{text}\n}}\n",
        encoding="utf-8",
    )
    process = subprocess.Popen([nginx, "-c", str(file), "-g", "daemon off;"])
    try:
        _wait_for(certificate[0], port)
        yield
    finally:
        process.terminate()
        process.wait(30)


def _wait_for(certificate: Path, port: int) -> None:
    until = time.monotonic() + 30
    while True:
        try:
            _ask(certificate, port, "/")
        except ConnectionRefusedError:
            if time.monotonic() > until:
                raise
            time.sleep(0.05)
        else:
            return


def _ask(certificate: Path, port: int, path: str) -> Answer:
    trusting = ssl.create_default_context(cafile=str(certificate))
    line = _AtHost("127.0.0.1", port, timeout=ANSWER_S, context=trusting)
    try:
        line.request("GET", path, headers={"Host": HOST})
        answer = line.getresponse()
        return Answer(answer.status, answer.headers, answer.read())
    finally:
        line.close()


class _AtHost(http.client.HTTPSConnection):
    """A connection to this machine that asks for the host by its name (RFC 6066, section 3)."""

    def connect(self) -> None:
        http.client.HTTPConnection.connect(self)
        context: ssl.SSLContext = self._context  # type: ignore[attr-defined]
        self.sock = context.wrap_socket(self.sock, server_hostname=HOST)
