"""Questions and changes by hand: what else a squad could have, what it costs, and putting it there.

They start from a proposal, published or not, or from a booking; a change makes a new proposal.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.errors import OutdatedError
from clubplanner.language import _
from clubplanner.services.problem.stretch_problem import with_pins
from clubplanner.services.proposals.kept_reasons import refusal_shown, refusals_as_json
from clubplanner.services.proposals.proposals import Draft, keep_proposal, sessions_from_placements
from clubplanner.services.proposals.said import said_by_hand
from clubplanner.services.share_out.by_hand.measuring import measures_as_json
from clubplanner.services.share_out.by_hand.starting_from import Base, Spot, load_spot
from clubplanner.sharing.reasons.by_hand import Option, what_else
from clubplanner.sharing.reasons.reasons import explain_ask
from clubplanner.sharing.values.problem import digest
from clubplanner.sharing.values.words import place_and_time, points_told

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from clubplanner.services.proposals.kept_reasons import RefusalShown
    from clubplanner.services.proposals.said import Said
    from clubplanner.sharing.values.problem import Placement, Problem
    from clubplanner.store.engine import Store


KEPT = ("why", "dropped", "disruption")
"""What a proposal that is changed by hand still says of how it came about."""


@dataclass(frozen=True, slots=True)
class OptionShown:
    """Another place for a session.

    Attributes:
        choice: What a form sends to choose it.
        where: Day, times and ground.
        moves: Who would have to move, from where to where.
        gain: What the squad gains or loses by it, in words.
        cost: What the others lose, in words; blank where nobody moves.
    """

    choice: str
    where: str
    moves: tuple[str, ...]
    gain: str
    cost: str


@dataclass(frozen=True, slots=True)
class OtherPlaces:
    """What the page of a question shows.

    Attributes:
        squad_name: Whose session it is.
        now: Where it is; blank for one that has no place.
        options: Other places, free ones first.
    """

    squad_name: str
    now: str
    options: tuple[OptionShown, ...]


def other_places(store: Store, spot: Spot, now: datetime) -> OtherPlaces:
    """Say what else a squad could have, and what it would cost the others.

    Raises:
        MissingError: If there is no such proposal, or no such session in it.
        RefusedError: If it is over, fixed by hand, asked for no more, or one of a plan of turns.
    """
    with store.read() as session:
        base = load_spot(session, spot, now)
    place = base.now
    return OtherPlaces(
        squad_name=base.ask.squad_name,
        now="" if place is None else place_and_time(base.problem, place),
        options=tuple(_shown(base.problem, option) for option in _options(base)),
    )


def why_without(store: Store, number: int, ask: str, now: datetime) -> RefusalShown:
    """Say why one ask of a proposal goes without, and what would help, with all the time it takes.

    Args:
        store: The database.
        number: Which proposal.
        ask: Key of the ask.
        now: The present instant.

    Raises:
        MissingError: If there is no such proposal, or no such ask in it.
        RefusedError: If it has all its sessions by now, if nobody asks for it any more, or if the
            proposal is one of turns.
    """
    with store.read() as session:
        base = load_spot(session, Spot(proposal=number, ask=ask), now)
    problem, levels = with_pins(base.problem, base.pinned), base.saved.get("levels", ())
    is_same = base.saved.get("problem_digest") == digest(problem)
    is_proved = is_same and bool(levels) and levels[0]["is_proved"]
    refusal = explain_ask(problem, base.placements, base.ask.key, is_proved=is_proved)
    (kept,) = refusals_as_json([refusal] if refusal is not None else [])
    return refusal_shown(kept)


def put_by_hand(store: Store, spot: Spot, choice: str, now: datetime) -> int:
    """Put a session on another place, those in the way with it, and keep it as a new proposal.

    The session is pinned there. Nothing is booked until the proposal is published.

    Raises:
        MissingError: As `other_places`.
        OutdatedError: If the place is no longer one of the session's options.
        RefusedError: As `other_places`.
    """
    with store.read() as session:
        base = load_spot(session, spot, now)
    option = next((o for o in _options(base) if _choice(o) == choice), None)
    if option is None:
        raise OutdatedError(
            _(
                "This place can no longer be had: something has changed since you looked. "
                "Choose again."
            )
        )
    moved = {(step.old.ask, step.old.session): step.new for step in option.steps}
    moved[base.ask.key, base.session] = option.placement
    kept = [p for p in base.placements if (p.ask, p.session) not in moved]
    placements = tuple(sorted([*kept, *moved.values()], key=_order))
    pins = [p for p in base.pinned if (p.ask, p.session) not in moved]
    problem = with_pins(base.problem, [*pins, option.placement])
    said = said_by_hand(problem, option.placement, len(placements))
    return keep_changed(store, base, problem, placements, said, now)


def keep_changed(
    store: Store,
    base: Base,
    problem: Problem,
    placements: Sequence[Placement],
    said: Said,
    now: datetime,
) -> int:
    """Keep a plan that was changed by hand as a new proposal, and return its number.

    Args:
        store: The database.
        base: The plan before.
        problem: Its problem, with what is pinned now.
        placements: The plan as it is now.
        said: What was done, to be told to a person.
        now: The present instant.
    """
    draft = Draft(
        sort=base.sort,
        first=base.first,
        last=base.last,
        squads=base.squads,
        sessions=sessions_from_placements(problem, placements),
        closures=base.closures,
        kind=_("by hand"),
        said=said,
        extra={
            **{name: base.saved[name] for name in KEPT if name in base.saved},
            **measures_as_json(problem, placements),
        },
    )
    with store.write() as session:
        return keep_proposal(session, base.stretch, draft, now)


def _options(base: Base) -> tuple[Option, ...]:
    """List other places, without going round what is pinned: others' pins stay."""
    problem = with_pins(base.problem, base.pinned)
    return what_else(problem, base.placements, base.ask.key, base.session)


def _shown(problem: Problem, option: Option) -> OptionShown:
    lost = option.cost
    return OptionShown(
        choice=_choice(option),
        where=place_and_time(problem, option.placement),
        moves=tuple(
            f"{step.squad_name}: {place_and_time(problem, step.old)} → "
            f"{place_and_time(problem, step.new)}"
            for step in option.steps
        ),
        gain=points_told(option.points),
        cost="" if not option.steps else points_told(-lost),
    )


def _choice(option: Option) -> str:
    place = option.placement
    return f"{place.ground} {place.day} {place.start_min}"


def _order(place: Placement) -> tuple[int, int, str, str]:
    return place.day, place.start_min, place.ground, place.ask
