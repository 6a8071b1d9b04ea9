"""What the page of a proposal shows: how good it is, what it changes, who goes without and why."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from clubplanner.domain.keys import pitch_of_ground
from clubplanner.domain.times.times import day_in_words
from clubplanner.errors import RefusedError
from clubplanner.language import _, figure, ngettext, term, weekday_in_words
from clubplanner.outputs.charts.bars import Bar, draw_bars
from clubplanner.services.proposals.differences.shown import show_difference
from clubplanner.services.proposals.fallen_away import tell_fallen_away
from clubplanner.services.proposals.files_to_check import why_no_files
from clubplanner.services.proposals.kept_proposals import load_proposal
from clubplanner.services.proposals.kept_reasons import outcome_told, refusals_shown
from clubplanner.services.proposals.proof_words import proof_in_words
from clubplanner.services.proposals.proposals import SORT_WORDS, Sort, saved_percent, times_in_words
from clubplanner.services.proposals.turn_words import TurnsShown, turns_shown
from clubplanner.services.proposals.weeks.words import WeekShown, week_shown
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.showing.not_said import goals_not_said, places_not_said
from clubplanner.sharing import Kind

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.services.proposals.differences.shown import DifferenceShown
    from clubplanner.services.proposals.kept_reasons import RefusalShown
    from clubplanner.services.proposals.proposals import Proposal, ProposedSession
    from clubplanner.services.showing.not_said import NotSaid
    from clubplanner.store.engine import Store

MOST_BARS = 40
"""Squads in the drawing of how well each is served; the table has every one."""
LOW_PERCENT = 60
"""A squad below this is looked after first: the share-out's own threshold."""


@dataclass(frozen=True, slots=True)
class LevelShown:
    """One aim of a share-out."""

    name: str
    words: str


@dataclass(frozen=True, slots=True)
class PlacementShown:
    """A session of the proposed plan.

    Attributes:
        place: Its number in the proposal, from 0.
        day: Weekday or date in words.
        times: Start and end.
        squad_name: Whose.
        ground: Where.
        lost: Dates on which it does not take place, in words; may be blank.
        is_pinned: Whether a person put it there.
    """

    place: int
    day: str
    times: str
    squad_name: str
    ground: str
    lost: str
    is_pinned: bool


@dataclass(frozen=True, slots=True)
class SatisfactionShown:
    """How well a squad is served, in percent of what it could have had alone."""

    squad_name: str
    percent: int


@dataclass(frozen=True, slots=True)
class ProposalPage:
    """What the page of a proposal shows.

    `may_run_again` tells whether it can be run again around sessions that stay,
    `has_other_places` whether it can be said what else its squads could have, and so put there
    by hand, `is_proved` whether nothing better can be found for any of its aims, `proof` what
    proves its placing and may be blank, `no_files` why there are no files to check it with, blank
    where there are, `has_prices` whether prices are in them, `not_said` what nobody has said yet
    about the ground on which sessions were placed, `week` how far apart sessions lie and how even
    evenings are; None for one evening, and for proposals of earlier releases.
    """

    number: int
    sort: Sort
    sort_words: str
    stretch_key: str
    stretch_name: str
    stretch_words: str
    created_at: datetime
    published_at: datetime | None
    sentence: str
    why: tuple[str, ...]
    hit: tuple[str, ...]
    disturbed: tuple[str, ...]
    dropped: tuple[str, ...]
    difference: DifferenceShown
    levels: tuple[LevelShown, ...]
    days: tuple[tuple[str, tuple[PlacementShown, ...]], ...]
    refusals: tuple[RefusalShown, ...]
    satisfactions: tuple[SatisfactionShown, ...]
    fairness: str
    turns: tuple[TurnsShown, ...]
    effort_words: str
    may_run_again: bool
    has_other_places: bool
    is_proved: bool
    proof: str
    no_files: str
    has_prices: bool
    not_said: tuple[NotSaid, ...]
    week: WeekShown | None


def see_share_out(store: Store, number: int, now: datetime) -> ProposalPage:
    """Show a proposal.

    Args:
        store: The database.
        number: Which one.
        now: The present instant; what has begun is no longer changed.

    Raises:
        MissingError: If there is none of that number.
    """
    with store.read() as session:
        proposal = load_proposal(session, number)
        difference = show_difference(session, proposal, now)
        fallen = tell_fallen_away(session, proposal)
        not_said = _not_said(session, proposal)
        week = week_shown(session, proposal.saved)
        today = now.astimezone(load_zone(session)).date()
    saved = proposal.saved
    first, last = day_in_words(proposal.first), day_in_words(proposal.last)
    return ProposalPage(
        number=number,
        sort=proposal.sort,
        sort_words=term(SORT_WORDS[proposal.sort]),
        stretch_key=proposal.stretch.key,
        stretch_name=proposal.stretch.name,
        stretch_words=first
        if first == last
        else _("%(first)s to %(last)s", first=first, last=last),
        created_at=proposal.created_at,
        published_at=proposal.published_at,
        sentence=outcome_told(saved, proposal.kind, len(proposal.sessions))
        if proposal.sort is Sort.STRETCH or "said" in saved
        else saved["sentence"],
        why=(*saved.get("why", ()), *fallen),
        hit=tuple(saved.get("hit", ())),
        disturbed=tuple(saved.get("disturbed", ())),
        dropped=tuple(saved.get("dropped", ())),
        difference=difference,
        levels=tuple(_level_shown(level) for level in saved["levels"]),
        days=() if proposal.sort is Sort.TURNS else _days(proposal),
        refusals=refusals_shown(saved["refusals"]),
        satisfactions=tuple(
            SatisfactionShown(entry["squad_name"], saved_percent(entry))
            for entry in saved["satisfactions"]
        ),
        fairness=_fairness(saved["satisfactions"]) if proposal.sort.is_weekly else "",
        turns=tuple(turns_shown(group) for group in saved.get("turns", ())),
        effort_words=effort_in_words(saved, proposal.kind),
        may_run_again=proposal.sort in RUN_AGAIN,
        has_other_places=proposal.has_other_places(today),
        is_proved=all(level["is_proved"] for level in saved["levels"]),
        proof=proof_in_words(saved),
        no_files=why_no_files(proposal),
        has_prices=saved.get("certificate") is not None,
        not_said=not_said,
        week=week,
    )


RUN_AGAIN = (Sort.STRETCH, Sort.EVENING)
"""Sorts of proposals that can be run again around pins."""


def pinned_sessions(
    store: Store, number: int, places: Collection[int]
) -> tuple[Proposal, tuple[ProposedSession, ...]]:
    """Return a proposal and those of its sessions that are to stay.

    Raises:
        MissingError: If there is no such proposal.
        RefusedError: If it cannot be run again, or no session of a stretch is chosen.
    """
    with store.read() as session:
        proposal = load_proposal(session, number)
    if proposal.sort not in RUN_AGAIN:
        raise RefusedError(
            _(
                "Only a share-out of a whole stretch, or of one evening, can be run again "
                "around pins."
            )
        )
    pins = tuple(item for n, item in enumerate(proposal.sessions) if n in places)
    if not pins and proposal.sort is not Sort.EVENING:
        raise RefusedError(_("Tick the sessions that are to stay, then run it again."))
    return proposal, pins


def _not_said(session: Session, proposal: Proposal) -> tuple[NotSaid, ...]:
    """Tell what nobody has said yet about the ground on which sessions were placed."""
    placed = [(pitch_of_ground(s.ground), s.ask, s.squad_name) for s in proposal.sessions]
    return (
        *goals_not_said(session, placed),
        *places_not_said(session, (pitch for pitch, _ask, _squad in placed)),
    )


def _fairness(saved: Sequence[dict[str, Any]]) -> str:
    """Draw how well each squad is served, the worst-off first; blank where there is none."""
    if not saved:
        return ""
    ordered = sorted((saved_percent(entry), entry["squad_name"]) for entry in saved)
    bars = [Bar(name, percent, is_low=percent < LOW_PERCENT) for percent, name in ordered]
    low = sum(bar.is_low for bar in bars)
    summary = ngettext(
        "%(worst)s have %(percent)s percent of the best they could have had "
        "alone, %(best)s %(best_percent)s percent; %(num)s of %(count)s squads "
        "is below %(low_percent)s percent. The table beside it has every squad.",
        "%(worst)s have %(percent)s percent of the best they could have had "
        "alone, %(best)s %(best_percent)s percent; %(num)s of %(count)s squads "
        "are below %(low_percent)s percent. The table beside it has every squad.",
        low,
        worst=bars[0].name,
        percent=bars[0].percent,
        best=bars[-1].name,
        best_percent=bars[-1].percent,
        count=len(bars),
        low_percent=LOW_PERCENT,
    )
    if len(bars) > MOST_BARS:
        summary += " " + _("Drawn are the %(most_bars)s worst off.", most_bars=MOST_BARS)
        bars = bars[:MOST_BARS]
    return draw_bars(bars, _("How well each squad is served, in percent"), summary)


def effort_in_words(saved: Mapping[str, Any], kind: str) -> str:
    """Say how hard was tried and whether the same again gives the same plan.

    Nothing ended early what is proved, whatever the clock said then.
    """
    effort = saved.get("effort")
    if effort is None:
        return ""
    allowed, used = f"{effort['seconds']:g}", f"{saved['seconds']:.0f}"
    words = _(
        "%(allowed)s seconds allowed, %(used)s used, seed %(effort)s.",
        allowed=allowed,
        used=used,
        effort=effort["seed"],
    )
    if saved["is_repeatable"]:
        return _("%(words)s The same records, seed and time give the same plan again.", words=words)
    if kind == Kind.PROVED_BEST:
        return _("%(words)s Again it may give another plan that is as good.", words=words)
    if effort["workers"] > 1:
        return _(
            "%(words)s Several processes searched at once, so it may come out differently again.",
            words=words,
        )
    return _(
        "%(words)s It was cut short by the clock or by hand, so it may come out differently again.",
        words=words,
    )


def _days(proposal: Proposal) -> tuple[tuple[str, tuple[PlacementShown, ...]], ...]:
    """Put sessions under their days: weekdays for a weekly plan, else dates."""
    shown: dict[str, list[PlacementShown]] = {}
    told, weekdays, lost = cache(day_in_words), cache(weekday_in_words), cache(_lost_in_words)
    times = cache(times_in_words)  # of thousands of sessions few are at different times
    for n, item in enumerate(proposal.sessions):
        if proposal.sort.is_weekly:
            days = [weekdays(item.weekday)]
        else:
            days = [told(day) for day in item.dates]
        for day in days:
            place = PlacementShown(
                n,
                day,
                times(item.start_min, item.end_min),
                item.squad_name,
                item.ground_name,
                lost(item.lost_dates),
                item.is_pinned,
            )
            shown.setdefault(day, []).append(place)
    return tuple((day, tuple(places)) for day, places in shown.items())


def _lost_in_words(dates: tuple[date, ...]) -> str:
    lost = ", ".join(map(day_in_words, dates))
    return _("not on %(lost)s", lost=lost) if lost else ""


def _level_shown(level: dict[str, Any]) -> LevelShown:
    if level["is_proved"]:
        words = _("%(value)s, proved best", value=level["value"])
    else:
        words = _(
            "%(value)s; no plan can pass %(bound)s (%(gap)s %%)",
            value=level["value"],
            bound=level["bound"],
            gap=figure(100 * level["gap"], ".1f"),
        )
    return LevelShown(level["name"], words)
