"""The next season: proposed, corrected in place, kept as it is typed, and made by one press."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, OutdatedError, RefusedError
from clubplanner.language import _, ngettext, term, without_isolates
from clubplanner.services.season.next_season.answers import LONGEST
from clubplanner.services.season.next_season.dates import DATE_FIELDS
from clubplanner.services.season.next_season.looked_through import (
    SEASON,
    digest_of_page,
    forget_next_season,
    save_next_season,
    see_next_season,
)
from clubplanner.services.season.next_season.make_season import make_next_season
from clubplanner.services.season.next_season.squads import NEW_FIELDS, SQUAD_FIELDS
from clubplanner.services.season.next_season.values import END, FATE_WORDS, ON, Fate
from clubplanner.services.season.season_tables import next_tables
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.services.season.next_season.answers import Differing
    from clubplanner.services.season.next_season.values import NextSeason, SquadNext

SQUADS = 30
"""Squads of one leaf."""
MOST_FAULTS = 12
"""Faults that are listed on top; more are counted."""
MOST_LISTED = 300
"""Names that a field offers to choose from: of more the list alone would be a long page."""
FIELDS = {
    "squad": SQUAD_FIELDS,
    "new": NEW_FIELDS,
    "stretch": DATE_FIELDS,
    "break": DATE_FIELDS,
    "holiday": ("choice",),
    "season": ("starts_on", "addresses"),
}
_FIELD = re.compile(r"(squad|new|stretch|break|season|holiday)-([0-9-]{1,10})-([a-z_]+)")


@dataclass(slots=True)
class Sent:
    """What a form says.

    Attributes:
        typed: Its fields, by what they are about.
        was: The digest that each thing was shown with.
    """

    typed: dict[str, dict[str, str]] = field(default_factory=lambda: defaultdict(dict))
    was: dict[str, str] = field(default_factory=dict)


@pages.get("/next")
@for_secretary
def next_season() -> str | BaseResponse:
    """Show the next season as it is proposed, with what was typed so far."""
    if wants_file():
        state = app_state()
        return send_tables(*next_tables(see_next_season(state.store, state.clock())))
    return _page()


@pages.post("/next")
@for_secretary
def change_next_season() -> str | BaseResponse:
    """Keep what was typed; then, if that was pressed, make the season."""
    state = app_state()
    now, act = state.clock(), request.form.get("act", "")
    if act == "forget":
        flash(forget_next_season(state.store))
        return redirect(url_for("season.next_season"))
    sent = _read()
    before = see_next_season(state.store, now)
    saved = save_next_season(state.store, sent.typed, sent.was, now)
    if saved.differing:
        return make_response(_page(sent, _differing(saved.differing, before)), 422)
    if act != "make":
        flash(_("Kept. Nothing is changed for anybody until the season is made."))
        return redirect(url_for("season.next_season") + _leaf())
    return _make(before)


def _make(before: NextSeason) -> str | BaseResponse:
    """Make the season, if it is the one that was looked at."""
    state = app_state()
    page = see_next_season(state.store, state.clock())
    seen, digest = request.form.get("seen", ""), digest_of_page(page)
    if not page.problems and digest != seen:
        words = (
            _("What was typed is kept. Look below at what it does now, then press once more.")
            if digest_of_page(before) == seen
            else _("Somebody else has changed the next season. Look at it, then press again.")
        )
        return make_response(_page(problems=(Problem("make", "unseen", words),)), 422)
    try:
        flash(make_next_season(state.store, state.clock(), digest))
    except FaultyInputError as fault:
        return make_response(_page(problems=fault.problems), 422)
    except (OutdatedError, RefusedError) as fault:
        return make_response(_page(problems=(Problem("make", "refused", str(fault)),)), 422)
    return redirect(url_for("season.next_season"))


def _read() -> Sent:
    sent = Sent()
    for name, value in request.form.items():
        if name.startswith("was-"):
            sent.was[name.removeprefix("was-")] = value
            continue
        match = _FIELD.fullmatch(name)
        if match is not None and match[3] in FIELDS[match[1]]:
            text = without_isolates(value).strip()[:LONGEST]
            sent.typed[f"{match[1]}-{match[2]}"][match[3]] = text
    for item, fields in sent.typed.items():
        if item.startswith(("stretch-", "break-")):
            fields.setdefault("drop", "")  # a box that is not ticked is not sent
    return sent


def _differing(differing: Sequence[Differing], before: NextSeason) -> list[Problem]:
    names = {one.item: one.name for one in before.squads}
    names |= {one.item: one.name for one in (*before.stretches, *before.breaks)}
    return [
        Problem(
            f"{one.item}-{next(iter(one.stands), 'name')}",
            "differs",
            _(
                "%(by)s has changed %(name)s in the meantime (%(stands)s). Yours stands here "
                "still; save again to keep yours.",
                by=one.by or _("Somebody"),
                name=names.get(one.item, _("the next season")),
                stands=", ".join(value for value in one.stands.values() if value)
                or _("as proposed"),
            ),
        )
        for one in differing
    ]


def _leaf() -> str:
    """Return the part of the address that holds the leaf one is on."""
    start = request.args.get("from", "")
    return f"?from={int(start)}" if start.isdecimal() and len(start) < 8 else ""


def _page(sent: Sent | None = None, problems: Sequence[Problem] = ()) -> str:
    state = app_state()
    page = see_next_season(state.store, state.clock())
    listed = list(problems[:MOST_FAULTS])
    if len(problems) > MOST_FAULTS:
        more = len(problems) - MOST_FAULTS
        words = ngettext("%(num)s more is to be said.", "%(num)s more are to be said.", more)
        listed.append(Problem("make", "more", words))
    squads = sorted(page.squads, key=lambda squad: not squad.doubt)
    return render_template(
        "season/next.html",
        page=page,
        leaf=leaf_through(squads, SQUADS),
        values=_values(page, sent),
        problems=listed,
        seen=digest_of_page(page),
        fates=[Choice(fate.value, term(words)) for fate, words in FATE_WORDS.items()],
        addresses=[Choice(ON, _("go on")), Choice(END, _("end"))],
        names=[squad.name for squad in page.squads[:MOST_LISTED]]
        if len(page.squads) <= MOST_LISTED
        else [],
        leaf_part=_leaf(),
        SEASON=SEASON,
        is_open=_is_open,
    )


def _values(page: NextSeason, sent: Sent | None) -> Mapping[str, str]:
    """Return every field's value: as typed just now, else as kept or proposed."""
    shown = {one.item: one.shown for one in page.squads}
    shown |= {one.item: one.shown for one in page.begin}
    shown |= {one.item: one.shown for one in (*page.stretches, *page.breaks)}
    shown |= {one.item: {"choice": one.choice} for one in page.holidays}
    shown[SEASON] = page.shown
    values = {f"{item}-{name}": v for item, own in shown.items() for name, v in own.items()}
    for item, own in ({} if sent is None else sent.typed).items():
        values |= {f"{item}-{name}": value for name, value in own.items()}
    return values


def _is_open(squad: SquadNext, problems: Sequence[Problem]) -> bool:
    """Tell whether what is seldom needed of a squad is shown without being asked for."""
    is_used = squad.fate is Fate.MERGES or squad.shown["addresses"]
    is_other = squad.shown["players"] != squad.shown["players_now"]
    rare = {f"{squad.item}-{name}" for name in ("into", "players", "addresses")}
    return bool(is_used or is_other or any(one.where in rare for one in problems))
