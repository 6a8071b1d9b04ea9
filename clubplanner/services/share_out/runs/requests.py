"""What a run of a share-out is asked to do: frozen values, and how they are kept."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from clubplanner.domain.club.squads import Ask, AskWish, LeastGround, Partner
from clubplanner.domain.times.times import Window, day_in_words
from clubplanner.language import _
from clubplanner.services.problem.standing_plans import Disruption, Scope
from clubplanner.services.proposals.kept_proposals import closure_from_json, session_from_json
from clubplanner.services.proposals.proposals import ProposedSession, Sort
from clubplanner.sharing.values.problem import Effort, plain

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clubplanner.services.proposals.proposals import Proposal


class Work(StrEnum):
    """What a run does."""

    STRETCH = "stretch"
    EVENING = "evening"
    AGAIN = "again"
    TONIGHT = "tonight"
    TURNS = "turns"


NOTHING = Disruption()
"""Nothing has come up."""


@dataclass(frozen=True, slots=True)
class RunRequest:
    """Everything a run depends on besides the club's records.

    Attributes:
        work: What it does.
        effort: How long to try, from which seed.
        stretch: Key of the stretch, for `Work.STRETCH` and `Work.TURNS`.
        pins: Sessions that stay where they are; not for `Work.AGAIN` and `Work.TURNS`.
        scope: Which part of the season, for the others.
        disruption: What has come up, for `Work.AGAIN` and `Work.TONIGHT`.
        still: Keys of squads that keep their place, for `Work.TURNS`.
        same_start: Whether turns are taken only among sessions that start at one time.
    """

    work: Work
    effort: Effort
    stretch: str = ""
    pins: tuple[ProposedSession, ...] = ()
    scope: Scope | None = None
    disruption: Disruption = NOTHING
    still: frozenset[str] = frozenset()
    same_start: bool = False

    @property
    def title(self) -> str:
        """Say what it does, to stand above its progress; a stretch adds its own name."""
        if self.work is Work.TURNS:
            return _("Planning turns in %(stretch)s", stretch=self.stretch)
        if self.scope is None:
            return _("Sharing out %(stretch)s", stretch=self.stretch)
        day = day_in_words(self.scope.day)
        if self.work in (Work.EVENING, Work.TONIGHT):
            return _("Sharing out %(day)s", day=day)
        words = {
            Sort.EVENING: day,
            Sort.WEEK: _("the week of %(day)s", day=day),
            Sort.REST: _("all from %(day)s", day=day),
        }
        return _("Sharing out %(words)s again", words=words[self.scope.sort])


def request_as_json(request: RunRequest) -> dict[str, Any]:
    """Write a request as it is kept."""
    value = plain(request)
    if not isinstance(value, dict):
        raise TypeError("A request is an object.")
    value["change"] = value.pop("disruption")  # the word under which runs were always kept
    return value


def request_from_json(saved: Mapping[str, Any]) -> RunRequest:
    """Read a request back."""
    scope, disruption = saved["scope"], saved["change"]
    return RunRequest(
        work=Work(saved["work"]),
        effort=Effort(**saved["effort"]),
        stretch=saved["stretch"],
        pins=tuple(session_from_json(item) for item in saved["pins"]),
        scope=scope and Scope(Sort(scope["sort"]), date.fromisoformat(scope["day"])),
        disruption=disruption_from_json(disruption),
        still=frozenset(saved["still"]),
        same_start=saved["same_start"],
    )


def disruption_of(proposal: Proposal) -> Disruption:
    """Return what a proposal for one evening was made for, squads that lack a session filled in."""
    saved = proposal.saved.get("disruption")
    if saved is None:
        return Disruption(closures=proposal.closures, fills=True)
    return replace(disruption_from_json(saved), fills=True)


def disruption_from_json(saved: Mapping[str, Any]) -> Disruption:
    """Read back what has come up, as `plain` wrote it."""
    return Disruption(
        closures=tuple(closure_from_json(item) for item in saved["closures"]),
        dropped=frozenset(saved["dropped"]),
        extra=tuple(_ask(item) for item in saved["extra"]),
        fills=saved.get("fills", False),
    )


def _ask(saved: Mapping[str, Any]) -> Ask:
    return Ask(
        **{
            **saved,
            "possible": tuple(Window(**window) for window in saved["possible"]),
            "preferred": tuple(Window(**window) for window in saved["preferred"]),
            "least_ground": LeastGround(**saved["least_ground"]),
            "no_day_before": frozenset(int(day) for day in saved["no_day_before"]),
            "no_day_after": frozenset(int(day) for day in saved["no_day_after"]),
            "wishes": tuple(
                AskWish(
                    wish["grade"],
                    tuple(Window(**window) for window in wish["windows"]),
                    tuple(wish["weekdays"]),
                    wish["place"],
                )
                for wish in saved["wishes"]
            ),
            "partners": tuple(Partner(**partner) for partner in saved["partners"]),
            "surfaces": frozenset(saved["surfaces"]),
        }
    )
