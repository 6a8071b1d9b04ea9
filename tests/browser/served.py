"""A served club that can be stopped and served again."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING

from werkzeug.serving import make_server

from clubplanner.config import Config
from clubplanner.webapp import create_app
from tests.builders import NOW

if TYPE_CHECKING:
    from werkzeug.serving import BaseWSGIServer

    from clubplanner.store.engine import Store
    from clubplanner.webapp.base.runner import Runner


@dataclass(slots=True)
class Site:
    """A served club that can be stopped and served again at the same address."""

    store: Store
    port: int
    server: BaseWSGIServer | None = None
    thread: threading.Thread | None = None
    runner: Runner | None = None

    @property
    def address(self) -> str:
        """Where it is served."""
        return f"http://127.0.0.1:{self.port}"

    def begin(self) -> None:
        """Serve with a new app that knows nothing of an earlier one."""
        app = create_app(self.store, Config("", self.address), lambda: NOW)
        self.runner = self.runner or app.extensions["clubplanner"].runner
        self.server = make_server("127.0.0.1", self.port, app, threaded=True)
        self.thread = threading.Thread(target=self.server.serve_forever, daemon=True)
        self.thread.start()

    def end(self) -> None:
        """Stop serving."""
        if self.server is not None and self.thread is not None:
            self.server.shutdown()
            self.thread.join()
            self.server.server_close()
