"""What all commands share: the configuration, and the way to the database."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from clubplanner.config import Config
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class Context:
    """What commands share."""

    config: Config

    def open(self) -> Store:
        """Open the database and make sure that it can be used.

        What opens it is imported here: commands that need no records do not wait for it.
        """
        from clubplanner.store.engine import open_store
        from clubplanner.store.migrate import check_store

        store = open_store(self.config.database).acting_for("the command line")
        click.get_current_context().call_on_close(store.close)
        check_store(store)
        return store
