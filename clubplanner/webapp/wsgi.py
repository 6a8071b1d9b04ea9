"""The way in for servers of other makes: a factory that reads its settings from the environment.

For example `gunicorn --threads 8 "clubplanner.webapp.wsgi:create_app()"`, or
`flask --app clubplanner.webapp.wsgi run`. Mails and notices are then delivered by
`clubplanner worker`. Each process counts its own limits and figures; one with several threads is
what a club needs. Set CLUBPLANNER_PUBLIC_ADDRESS: such a server tells nobody where it listens.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from clubplanner.clubs.at_hand import ClubsAtHand
from clubplanner.collecting import collect_seldom
from clubplanner.config import config_from_environment, settings_from_environment
from clubplanner.logs import set_up_logs
from clubplanner.store.engine import open_store
from clubplanner.webapp import factory
from clubplanner.webapp.clubs.dispatch import make_clubs_app

if TYPE_CHECKING:
    from flask import Flask


def create_app() -> Flask:
    """Make the app of the club whose records CLUBPLANNER_DATABASE names.

    Where CLUBPLANNER_CLUBS names a list of clubs, it is the app of all of them.

    Raises:
        PlannerError: If a setting cannot be read, or the records cannot be used.
    """
    collect_seldom()
    config = config_from_environment()
    set_up_logs(config)
    if config.clubs_file:
        file = Path(config.clubs_file)
        return make_clubs_app(ClubsAtHand(file, config, settings_from_environment()))
    return factory.create_app(open_store(config.database), config)
