"""What all commands share: the configuration, and the way to the records of a club or of all."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clubplanner.config import settings_from_environment
from clubplanner.errors import RefusedError

if TYPE_CHECKING:
    from clubplanner.clubs.at_hand import ClubsAtHand
    from clubplanner.config import Config
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class Context:
    """What commands share.

    Attributes:
        config: The settings, those of the chosen club where one was chosen from a list.
    """

    config: Config

    @property
    def is_for_all(self) -> bool:
        """Whether there is a list of clubs and none was chosen from it."""
        return bool(self.config.clubs_file) and not self.config.club

    def open(self) -> Store:
        """Open the records of the one club and make sure that they can be used.

        What opens them is imported here: commands that need no records do not wait for it.

        Raises:
            RefusedError: If there is a list of clubs and none was chosen.
        """
        from clubplanner.store.engine import open_store
        from clubplanner.store.upkeep.migrate import check_store

        if self.is_for_all:
            names = ", ".join(self.open_clubs().clubs)
            raise RefusedError(f"Say which club, with --club NAME before the command: {names}.")
        store = open_store(self.config.database).acting_for("the command line")
        click.get_current_context().call_on_close(store.close)
        check_store(store)
        return store

    def open_clubs(self) -> ClubsAtHand:
        """Read the list of clubs.

        Raises:
            RefusedError: If there is none.
            FaultyInputError: With every fault of it.
        """
        from clubplanner.clubs.at_hand import ClubsAtHand  # few commands look at the list

        return ClubsAtHand(Path(self.config.clubs_file), self.config, settings_from_environment())
