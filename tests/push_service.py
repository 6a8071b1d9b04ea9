"""A push service and a phone of our own, on this machine: they read what we send by other code.

Messages are decrypted by `http-ece` (RFC 8188, RFC 8291) and signatures are checked by `py-vapid`
(RFC 8292); neither shares code with ours.
"""

from __future__ import annotations

import base64
import json
import ssl
import subprocess
import threading
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from itertools import count
from typing import TYPE_CHECKING, Any

import http_ece
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from py_vapid import Vapid02

from clubplanner.services.calendars.fetching import Reach
from clubplanner.services.pushes.readers import ReaderWish
from clubplanner.services.pushes.sending import post_message

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.services.pushes.sending import Answer, Envelope

HERE = "127.0.0.1"
NAME = "push.example"


def words(octets: bytes) -> str:
    """Write octets as a browser does."""
    return base64.urlsafe_b64encode(octets).rstrip(b"=").decode()


@dataclass
class Phone:
    """A browser with keys of its own, made of its number: the same at every run.

    Attributes:
        number: Which; each is another one unless it is said.
    """

    number: int = field(default_factory=partial(next, count(1)))

    @property
    def path(self) -> str:
        """Where the service takes its messages."""
        return f"/phones/{self.number}"

    @property
    def key(self) -> ec.EllipticCurvePrivateKey:
        """What it decrypts with."""
        return ec.derive_private_key(1000 + self.number, ec.SECP256R1())

    @property
    def auth(self) -> bytes:
        """The secret that it shares with the club."""
        return self.number.to_bytes(16, "big")

    def wish(self, service: Service) -> ReaderWish:
        """Return what it says of itself."""
        point = self.key.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)
        return ReaderWish(service.address + self.path, words(point), words(self.auth))

    def read(self, body: bytes) -> dict[str, Any]:
        """Decrypt a message and read it."""
        text = http_ece.decrypt(
            body, private_key=self.key, auth_secret=self.auth, version="aes128gcm"
        )
        told = json.loads(text)
        assert isinstance(told, dict)
        return told


@dataclass(frozen=True)
class Taken:
    """A request that was taken, header names in small letters."""

    path: str
    headers: dict[str, str]
    body: bytes

    def claims(self) -> dict[str, Any]:
        """Return what the signature says, once it is checked against the key that came with it."""
        value = self.headers["authorization"]
        assert Vapid02.verify(value), "the signature is the key's"
        assert value.startswith("vapid t=")
        payload = value.split("t=")[1].split(",")[0].split(".")[1]
        claims = json.loads(base64.urlsafe_b64decode(payload + "=" * (-len(payload) % 4)))
        assert isinstance(claims, dict)
        return claims

    def key(self) -> str:
        """Return the public key that came with it."""
        return self.headers["authorization"].split("k=")[1]


@dataclass
class Service:
    """What the service took, and what it answers.

    Attributes:
        reach: How to reach it.
        port: Where it listens.
        status: The answer to a message.
        retry_after: Sent with it; blank for nothing.
        taken: Requests, oldest first, whatever was answered.
    """

    reach: Reach
    port: int = 0
    status: int = 201
    retry_after: str = ""
    taken: list[Taken] = field(default_factory=list)

    @property
    def address(self) -> str:
        """Its origin."""
        return f"https://{NAME}:{self.port}"

    def post(self, envelope: Envelope) -> Answer:
        """Hand a message over as the planner does."""
        return post_message(envelope, reach=self.reach)


def make_certificate(folder: Path) -> tuple[ssl.SSLContext, ssl.SSLContext]:
    """Return how to encrypt as the service, and how to trust it."""
    key, certificate = folder / "key.pem", folder / "certificate.pem"
    command = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2"]
    command += ["-subj", f"/CN={NAME}", "-addext", f"subjectAltName=DNS:{NAME}"]
    command += ["-keyout", str(key), "-out", str(certificate)]
    subprocess.run(command, check=True, capture_output=True)
    serving = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    serving.load_cert_chain(certificate, key)
    return serving, ssl.create_default_context(cafile=certificate)


def _resolve(host: str, port: int) -> list[str]:
    return [HERE] if host == NAME else []


@contextmanager
def push_service(folder: Path) -> Iterator[Service]:
    """Run a push service.

    Args:
        folder: Where its certificate goes.
    """
    serving, trusting = make_certificate(folder)
    service = Service(Reach(resolve=_resolve, tls=trusting, allow_loopback=True))
    server = ThreadingHTTPServer((HERE, 0), partial(_Handler, service))
    server.socket = serving.wrap_socket(server.socket, server_side=True)
    service.port = server.server_address[1]
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    try:
        yield service
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


class _Handler(BaseHTTPRequestHandler):
    def __init__(self, service: Service, *arguments: Any) -> None:
        self.service = service
        super().__init__(*arguments)

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers["Content-Length"]))
        headers = {name.lower(): value for name, value in self.headers.items()}
        self.service.taken.append(Taken(self.path, headers, body))
        self.send_response(self.service.status)
        if self.service.retry_after:
            self.send_header("Retry-After", self.service.retry_after)
        self.send_header("Content-Length", "0")
        self.end_headers()

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - its name
        pass
