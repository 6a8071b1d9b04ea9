"""Serving: the port is taken, served and given back."""

from __future__ import annotations

import socket
from typing import TYPE_CHECKING, Any

import waitress

from clubplanner.commands.serving import server
from clubplanner.commands.serving.server import serve_app, take_port
from clubplanner.config import Config
from clubplanner.webapp import create_app
from clubplanner.webapp.factory import real_clock
from tests.ports import free_port

if TYPE_CHECKING:
    import pytest

    from clubplanner.store.engine import Store


def test_an_interrupt_ends_serving_and_gives_the_port_back(
    empty_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped by hand the server closes without a traceback, and the port is free again."""
    port = free_port()
    heard: list[bool] = []
    collected: list[bool] = []
    monkeypatch.setattr(server, "collect_seldom", lambda: collected.append(True))
    made = waitress.create_server

    def interrupted(*args: Any, **kwargs: Any) -> Any:
        made_now = made(*args, **kwargs)

        def run() -> None:
            with socket.create_connection(("127.0.0.1", port), timeout=30):
                heard.append(True)
            raise KeyboardInterrupt

        monkeypatch.setattr(made_now, "run", run)
        return made_now

    monkeypatch.setattr(waitress, "create_server", interrupted)
    serve_app(create_app(empty_store, Config(), real_clock), take_port("127.0.0.1", port))
    assert heard == collected == [True]
    with socket.create_server(("127.0.0.1", port)) as again:
        assert again.getsockname()[1] == port
