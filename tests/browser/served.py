"""A served club that can be stopped and served again."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from werkzeug.serving import make_server

from clubplanner.config import Config
from clubplanner.webapp import create_app
from tests.builders import NOW

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from werkzeug.serving import BaseWSGIServer

    from clubplanner.config import MailServer
    from clubplanner.store.engine import Store
    from clubplanner.webapp.base.runner import Runner


@dataclass(slots=True)
class Site:
    """A served club that can be stopped and served again at the same address.

    Attributes:
        clock: Gives the present instant, UTC.
        mail_server: Takes its mails; None where none is set up.
    """

    store: Store
    port: int
    server: BaseWSGIServer | None = None
    thread: threading.Thread | None = None
    runner: Runner | None = None
    clock: Callable[[], datetime] = field(default=lambda: NOW)
    mail_server: MailServer | None = None

    @property
    def address(self) -> str:
        """Where it is served."""
        return f"http://127.0.0.1:{self.port}"

    @property
    def config(self) -> Config:
        """How it is set up."""
        return Config("", self.address, mail_server=self.mail_server)

    def begin(self) -> None:
        """Serve with a new app that knows nothing of an earlier one."""
        app = create_app(self.store, self.config, self.clock)
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
