"""What those who run the planner can watch: whether it is well, its figures, its requests.

`/health` answers anybody, and says nothing but that; a proxy or a supervisor asks it. `/metrics` is
the text that Prometheus reads (OpenMetrics is a later form of it); it is there where
CLUBPLANNER_METRICS_KEY is set, for who brings that key as a bearer token (RFC 6750, section 2.1).
Figures of requests are those of this process; those of mails and notices stand in the records.
"""

from __future__ import annotations

import hmac
import time
from typing import TYPE_CHECKING

from flask import Blueprint, abort, current_app, g, make_response, request
from prometheus_client import CollectorRegistry, Histogram, generate_latest
from prometheus_client.core import GaugeMetricFamily

from clubplanner.errors import PlannerError
from clubplanner.logs import FIELDS, REQUESTS
from clubplanner.services.mails.backlog import see_backlog
from clubplanner.store.upkeep.migrate import check_store
from clubplanner.webapp.base.security import for_anybody
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import datetime

    from flask import Flask, Response
    from prometheus_client.core import Metric
    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.store.engine import Store

pages = Blueprint("watched", __name__)

EXTENSION = "clubplanner watched"
KIND = "text/plain; version=0.0.4; charset=utf-8"
"""As Prometheus asks for its text format."""
PLAIN = {"Content-Type": "text/plain; charset=utf-8"}
BOUNDS_S = (0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)
_BEGAN = "began_s"


class Backlog:
    """Collects, when asked, what waits to be told to people.

    Args:
        store: The database.
        clock: Gives the present instant, UTC.
    """

    def __init__(self, store: Store, clock: Callable[[], datetime]) -> None:
        self._store = store
        self._clock = clock

    def collect(self) -> Iterator[Metric]:
        """Return the figures; see `services/mails/backlog.py` for what they mean."""
        backlog = see_backlog(self._store, self._clock())
        figures = {
            "clubplanner_mails_waiting": ("Mails that are due and not sent.", backlog.mails),
            "clubplanner_mails_refused": ("Mails of 7 days that nobody got.", backlog.refused),
            "clubplanner_notices_waiting": (
                "Notices to phones that are due and not sent.",
                backlog.pushes,
            ),
            "clubplanner_oldest_waiting_seconds": (
                "For how long the oldest of them has been due.",
                backlog.oldest_s,
            ),
        }
        for name, (meaning, value) in figures.items():
            yield GaugeMetricFamily(name, meaning, value)


def register(app: Flask) -> None:
    """Let an app count and log its answers."""
    registry = CollectorRegistry()
    took = Histogram(
        "clubplanner_request_seconds",
        "How long answers took.",
        ("method", "route", "status"),
        buckets=BOUNDS_S,
        registry=registry,
    )
    app.extensions[EXTENSION] = registry

    @app.before_request
    def begin() -> None:
        setattr(g, _BEGAN, time.perf_counter())

    @app.after_request
    def note(response: Response) -> Response:
        began_s = g.pop(_BEGAN, None)
        if began_s is None:
            return response
        seconds = time.perf_counter() - began_s
        route = request.url_rule.rule if request.url_rule else "none"
        took.labels(request.method, route, str(response.status_code)).observe(seconds)
        fields = {
            "method": request.method,
            "route": route,
            "status": response.status_code,
            "ms": round(seconds * 1000, 1),
            "bytes": response.content_length,
        }
        REQUESTS.info(
            "%(method)s %(route)s %(status)s %(ms)s ms %(bytes)s B", fields, extra={FIELDS: fields}
        )
        return response


@pages.get("/health")
@for_anybody
def health() -> tuple[str, int, dict[str, str]]:
    """Say whether the records can be read and are of this version."""
    try:
        check_store(app_state().store)
    except PlannerError:
        return "not well\n", 503, PLAIN
    return "well\n", 200, PLAIN


@pages.get("/metrics")
@for_anybody
def metrics() -> BaseResponse:
    """Give the figures to who brings the key; to others the page is not there."""
    state = app_state()
    key = state.config.metrics_key
    brought = request.headers.get("Authorization", "").removeprefix("Bearer ")
    if not key or not hmac.compare_digest(brought.encode(), key.encode()):
        return abort(404)
    registry: CollectorRegistry = current_app.extensions[EXTENSION]
    waiting = CollectorRegistry()
    waiting.register(Backlog(state.store, state.clock))
    response = make_response(generate_latest(registry) + generate_latest(waiting))
    response.headers["Content-Type"] = KIND
    return response
