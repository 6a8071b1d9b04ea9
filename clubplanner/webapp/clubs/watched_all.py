"""How all clubs of a server are, and their figures together, each by the club's short name.

A club whose records do not answer keeps nobody waiting: each is asked in a thread of its own, and
what has not answered in time is not well. Nobody makes us ask more often than every few seconds.
"""

from __future__ import annotations

import logging
import threading
from typing import TYPE_CHECKING, ClassVar

from prometheus_client import CollectorRegistry, generate_latest
from prometheus_client.core import GaugeMetricFamily, Metric

from clubplanner.errors import PlannerError
from clubplanner.logs import at_work_for
from clubplanner.store.upkeep.migrate import check_store
from clubplanner.webapp.serving.watched import EXTENSION, Backlog

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from datetime import datetime

    from flask import Flask

    from clubplanner.clubs.at_hand import ClubsAtHand, OpenClub

LOG = logging.getLogger("clubplanner.clubs")

ANSWERS_S = 5.0
"""How long a club has to answer."""
KNOWN_S = 10.0
"""How long an answer counts."""


class AllClubs:
    """Asks all clubs.

    Args:
        at_hand: The clubs there are.
        apps: Returns the apps that were made so far, by short name.
        clock: Gives the present instant, UTC.
        clock_s: Counts seconds.
    """

    EXTENSION: ClassVar[str] = "clubplanner all clubs"

    def __init__(
        self,
        at_hand: ClubsAtHand,
        apps: Callable[[], Mapping[str, Flask]],
        clock: Callable[[], datetime],
        clock_s: Callable[[], float],
    ) -> None:
        self._at_hand, self._apps = at_hand, apps
        self._clock, self._clock_s = clock, clock_s
        self._lock = threading.Lock()
        self._asked: dict[OpenClub, _Asked] = {}
        self._until_s: float | None = None
        self._states: dict[str, bool] = {}

    @property
    def list_is_well(self) -> bool:
        """Whether the list as it stands in its file is the one that holds."""
        return self._at_hand.is_well

    def states(self) -> Mapping[str, bool]:
        """Return whether each club's records can be used, by short name."""
        with self._lock:
            clubs = self._at_hand.clubs
            is_known = self._until_s is not None and self._clock_s() < self._until_s
            if not is_known or set(self._states) != set(clubs):
                self._states = self._ask(list(clubs.values()))
                self._until_s = self._clock_s() + KNOWN_S
            return self._states

    def _ask(self, clubs: list[OpenClub]) -> dict[str, bool]:
        """Ask each club; one that has not answered since it was last asked is not asked again."""
        waiting = {club: one for club, one in self._asked.items() if one.thread.is_alive()}
        self._asked = {club: waiting.get(club) or _Asked(club) for club in clubs}
        until_s = self._clock_s() + ANSWERS_S
        for one in self._asked.values():
            one.thread.join(max(0.0, until_s - self._clock_s()))
        return {club.name: one.is_well for club, one in self._asked.items()}

    def figures(self) -> bytes:
        """Return the figures of all clubs as text for Prometheus."""
        registry = CollectorRegistry()
        registry.register(self)
        return generate_latest(registry)

    def collect(self) -> Iterator[Metric]:
        """Return every figure of every club, labelled with the club's short name."""
        states = self.states()
        words = "Whether a club's records can be used."
        well = GaugeMetricFamily("clubplanner_club_well", words, labels=("club",))
        for name, is_well in states.items():
            well.add_metric((name,), float(is_well))
        yield well
        words = "Whether the list of clubs can be read as it stands."
        yield GaugeMetricFamily("clubplanner_clubs_list_well", words, float(self.list_is_well))
        together: dict[str, Metric] = {}
        for name in states:
            for figure in self._figures_of(name, is_well=states[name]):
                whole = together.setdefault(
                    figure.name, Metric(figure.name, figure.documentation, figure.type)
                )
                whole.samples += [
                    sample._replace(labels={**sample.labels, "club": name})
                    for sample in figure.samples
                ]
        yield from together.values()

    def _figures_of(self, name: str, *, is_well: bool) -> list[Metric]:
        """Return a club's own figures; of the records only where they can be used."""
        app, club = self._apps().get(name), self._at_hand.clubs.get(name)
        found = [] if app is None else list(app.extensions[EXTENSION].collect())
        if is_well and club is not None:
            with at_work_for(name):
                try:
                    found += Backlog(club.store, self._clock).collect()
                except PlannerError as fault:
                    LOG.warning("figures are left out: %s", fault)
        return found


class _Asked:
    """Asks a club whether its records can be used.

    Attributes:
        thread: In which it is asked; it ends with the answer.
        is_well: The answer; false before there is one.
    """

    def __init__(self, club: OpenClub) -> None:
        self.is_well = False
        self._club = club
        self.thread = threading.Thread(target=self._look, name=f"ask {club.name}", daemon=True)
        self.thread.start()

    def _look(self) -> None:
        with at_work_for(self._club.name):
            try:
                check_store(self._club.store)
            except PlannerError as fault:
                LOG.warning("the club is not well: %s", fault)
            except Exception:
                LOG.exception("the club is not well")
            else:
                self.is_well = True
            if self._club.is_at_rest:
                self._club.store.close()
