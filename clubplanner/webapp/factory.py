"""Making the app: everything it needs is handed in, nothing happens at import."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from flask_wtf import CSRFProtect
from werkzeug.middleware.proxy_fix import ProxyFix
from werkzeug.routing import IntegerConverter

from clubplanner.services.addresses.links import load_form_secret
from clubplanner.services.addresses.public_address import settle_address
from clubplanner.store.upkeep.migrate import check_store
from clubplanner.webapp.api import all_operations
from clubplanner.webapp.api.frame import calls
from clubplanner.webapp.base import (
    choosing,
    faults,
    filters,
    knowing,
    named_faults,
    navigation,
    once,
    programs,
    security,
    taking_away,
    taking_back,
)
from clubplanner.webapp.base.bare_app import make_bare_app
from clubplanner.webapp.base.runner import Runner
from clubplanner.webapp.base.state import EXTENSION, AppState
from clubplanner.webapp.base.under_path import serve_under
from clubplanner.webapp.calendars import busy, calendars, handing_out
from clubplanner.webapp.coach import coach, ground, one_session, passing_on, thunder
from clubplanner.webapp.evening import (
    board,
    booked,
    closures,
    desk,
    matches,
    moves,
    reopening,
    week,
)
from clubplanner.webapp.finding import finding
from clubplanner.webapp.giving import asks, giving
from clubplanner.webapp.guide import guide
from clubplanner.webapp.hires import hires
from clubplanner.webapp.journal import changes, restored
from clubplanner.webapp.keeping import keeping
from clubplanner.webapp.mails import mails
from clubplanner.webapp.money import money, tariffs
from clubplanner.webapp.pasting import tables
from clubplanner.webapp.people import entry, me, people
from clubplanner.webapp.people import programs as own_programs
from clubplanner.webapp.pushes import pushes
from clubplanner.webapp.reports import reports
from clubplanner.webapp.season import (
    ahead,
    fairness,
    light,
    next_season,
    season_weeks,
    squad_begins,
    squad_seasons,
    stretches,
    wear,
    year,
)
from clubplanner.webapp.serving import (
    bodies,
    compression,
    facings,
    home_screen,
    languages,
    limits,
    measures,
    noted,
    static_files,
    watched,
)
from clubplanner.webapp.setup import (
    club_folder,
    clubs,
    first_steps,
    ground_files,
    ground_kinds,
    ground_tracing,
    grounds,
    rules,
    squad_ends,
    squad_forms,
    squads,
)
from clubplanner.webapp.share_out import (
    beside,
    by_hand,
    proposal_weeks,
    share_again,
    share_outs,
    share_runs,
    share_turns,
    tonight,
)
from clubplanner.webapp.webhooks import webhooks

if TYPE_CHECKING:
    from collections.abc import Callable

    from flask import Flask
    from werkzeug.routing import Map

    from clubplanner.config import Config
    from clubplanner.store.engine import Store

ROOMS = (
    entry,
    me,
    measures,
    facings,
    languages,
    coach,
    giving,
    passing_on,
    ground,
    one_session,
    thunder,
    desk,
    first_steps,
    moves,
    share_outs,
    share_again,
    share_runs,
    share_turns,
    proposal_weeks,
    tonight,
    by_hand,
    beside,
    changes,
    restored,
    closures,
    reopening,
    week,
    booked,
    matches,
    hires,
    light,
    next_season,
    mails,
    busy,
    webhooks,
    handing_out,
    year,
    season_weeks,
    squad_begins,
    squad_seasons,
    stretches,
    wear,
    fairness,
    reports,
    ahead,
    asks,
    squads,
    club_folder,
    squad_ends,
    clubs,
    squad_forms,
    tables,
    grounds,
    rules,
    ground_kinds,
    ground_tracing,
    ground_files,
    calendars,
    people,
    own_programs,
    keeping,
    money,
    tariffs,
    board,
    pushes,
    finding,
    guide,
    home_screen,
    watched,
    all_operations,
)
"""The modules whose `pages` make up the app."""


PARTS = (
    bodies,
    watched,
    noted,
    compression,
    static_files,
    languages,
    filters,
    named_faults,
    navigation,
    limits,
    programs,
    security,
    calls,
    once,
    choosing,
    faults,
    taking_away,
    taking_back,
    knowing,
    restored,
    webhooks,
    first_steps,
    measures,
    facings,
    pushes,
    home_screen,
    guide,
)
"""The modules that act on every request, in the order in which they look at it."""


class RowNumber(IntegerConverter):
    """A number in an address, up to what the database can count to; others lead nowhere."""

    def __init__(self, addresses: Map) -> None:
        super().__init__(addresses, max=2**63 - 1)


def real_clock() -> datetime:
    """Return the present instant, UTC."""
    return datetime.now(UTC)


def create_app(store: Store, config: Config, clock: Callable[[], datetime] = real_clock) -> Flask:
    """Make the web app of one club.

    Args:
        store: An opened database, migrated.
        config: The configuration.
        clock: Gives the present instant, UTC.

    Raises:
        StoreError: If the database is missing, of another version, or unguarded.
    """
    check_store(store)
    config = settle_address(config, store)
    app = make_bare_app()
    app.config.update(
        SECRET_KEY=load_form_secret(store),
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        PERMANENT_SESSION_LIFETIME=timedelta(days=30),
        WTF_CSRF_TIME_LIMIT=None,
        WTF_CSRF_SSL_STRICT=False,  # asks for a Referer, which our own Referrer-Policy holds back
    )
    serve_under(app, config.public_address)
    app.extensions[EXTENSION] = AppState(store, config, clock, Runner())
    app.url_map.converters["int"] = RowNumber
    csrf = CSRFProtect(app)
    csrf.exempt(mails.turn_off)  # a mail program has no token; see there
    csrf.exempt(
        all_operations.pages
    )  # of programs: no cookie counts there, so nobody can forge one
    for part in PARTS:
        part.register(app)
    for pages in dict.fromkeys(room.pages for room in ROOMS):
        app.register_blueprint(pages)
    security.require_marks(app)
    if config.proxies:
        app.wsgi_app = ProxyFix(  # type: ignore[method-assign]
            app.wsgi_app, x_for=config.proxies, x_proto=config.proxies
        )
    return app
