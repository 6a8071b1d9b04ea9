"""Pages below a path, where a host serves other things, too.

The public address says below which ("https://town.example.org/pitches"). A server in front may
hand on the whole path or what is below it: both come here. Flask then writes the path into every
address it makes (PEP 3333, SCRIPT_NAME); cookies are for the path alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from flask import current_app, request

if TYPE_CHECKING:
    from collections.abc import Iterable

    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment
    from flask import Flask


class UnderPath:
    """A WSGI application, served below a path.

    Args:
        served: The application.
        path: The path, such as "/pitches"; with a slash in front and none at the end.
    """

    def __init__(self, served: WSGIApplication, path: str) -> None:
        self._served = served
        self._path = path

    def __call__(self, environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        """Answer a request for the whole path, or for what is below it."""
        asked = environ.get("PATH_INFO", "")
        if asked == self._path or asked.startswith(f"{self._path}/"):
            environ["PATH_INFO"] = asked[len(self._path) :] or "/"
        environ["SCRIPT_NAME"] = self._path
        return self._served(environ, start_response)


def serve_under(app: Flask, public_address: str) -> None:
    """Let an app be served below the path of its public address, if that has one."""
    path = urlsplit(public_address).path
    is_https = public_address.startswith("https://")
    app.config.update(
        APPLICATION_ROOT=path or "/",
        SESSION_COOKIE_PATH=path or "/",
        SESSION_COOKIE_SECURE=is_https,
        SESSION_COOKIE_NAME=f"{_cookie_prefix(path)}form" if is_https else "form",
    )
    if path:
        app.wsgi_app = UnderPath(app.wsgi_app, path)  # type: ignore[method-assign]


def cookie_name(plain: str) -> str:
    """Return the name of a cookie that nobody else on the network or a sister host may set."""
    config = current_app.config
    prefix = _cookie_prefix(cookie_path().rstrip("/")) if config["SESSION_COOKIE_SECURE"] else ""
    return f"{prefix}{plain}"


def cookie_path() -> str:
    """Return for which part of the host our cookies are."""
    return str(current_app.config["SESSION_COOKIE_PATH"])


def whole_path() -> str:
    """Return the path and the question of the present request, as a browser would ask."""
    return f"{request.root_path}{request.full_path}".rstrip("?")


def public_url(public_address: str, path: str) -> str:
    """Return the whole address of a page.

    Args:
        public_address: How people reach the pages, without a slash at the end.
        path: As `url_for` writes it, the path of the public address in front.
    """
    return public_address.removesuffix(urlsplit(public_address).path) + path


def _cookie_prefix(path: str) -> str:
    """Return the strictest prefix that may be used: "__Host-" asks for the path "/".

    RFC 6265bis, section 4.1.3.
    """
    return "__Secure-" if path else "__Host-"
