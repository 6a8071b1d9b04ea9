"""The problem and the result of a proposal, kept as the files that a stranger can check it with.

`share-out check` reads them. They are kept as they were when the proposal was made: records change,
and what was proved then is about the records of then. Nobody is named in them but squads: coaches
are numbered, and bookings that stand have no holder.
"""

from __future__ import annotations

import base64
import binascii
import zlib
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from clubplanner.errors import MissingError
from clubplanner.language import _, figure
from clubplanner.services.proposals.kept_proposals import see_proposal
from clubplanner.services.proposals.proposals import Sort
from clubplanner.sharing.files.files import write_value
from clubplanner.sharing.values.problem import digest

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clubplanner.services.proposals.proposals import Proposal
    from clubplanner.sharing.values.certificate import Certificate
    from clubplanner.sharing.values.facts import Facts
    from clubplanner.sharing.values.outcome import Change, Outcome, Reason
    from clubplanner.sharing.values.problem import Ask, Problem
    from clubplanner.sharing.values.turns_taken import TurnsTaken
    from clubplanner.store.engine import Store

KEPT, LEFT_OUT = "to_check", "not_to_check"
PROBLEM, RESULT = "problem", "result"
TOO_LARGE = "large"
MOST_BYTES = 1_500_000
"""Files that are larger than this when packed are not kept: a proposal is read often."""
BOOKED = "Booked"
"""What every booking that stands is called in the file."""


@dataclass(frozen=True, slots=True)
class FileToCheck:
    """A file to take away.

    Attributes:
        name: What to call it.
        data: JSON, UTF-8.
    """

    name: str
    data: bytes


def files_as_json(problem: Problem, outcome: Outcome) -> dict[str, Any]:
    """Return what a proposal keeps of its problem and its result; where it is too much, only that.

    Args:
        problem: The problem.
        outcome: Its result, in which nothing was changed since the search.
    """
    return _kept(*_nameless(problem, outcome))


def turns_as_json(problem: Problem, taken: TurnsTaken) -> dict[str, Any]:
    """Return the same of turns.

    Args:
        problem: The problem of the plan that they begin with.
        taken: The turns.
    """
    plain = _without_names(problem, _coaches(problem))
    return _kept(plain, replace(taken, problem_digest=digest(plain)))


def _kept(problem: Problem, result: Outcome | TurnsTaken) -> dict[str, Any]:
    texts = {PROBLEM: write_value(problem), RESULT: write_value(result)}
    packed = {name: _pack(text) for name, text in texts.items()}
    is_small = sum(map(len, packed.values())) <= MOST_BYTES
    return {KEPT: packed} if is_small else {LEFT_OUT: TOO_LARGE}


def has_files(saved: Mapping[str, Any]) -> bool:
    """Tell whether a proposal as it is kept has files to check it with."""
    return KEPT in saved


def why_no_files(proposal: Proposal) -> str:
    """Say why a proposal has no files to check it with, and what to do; blank where it has some."""
    if has_files(proposal.saved):
        return ""
    if proposal.sort is Sort.TURNS:
        return _why_no_files_of_turns(proposal)
    if proposal.saved.get(LEFT_OUT) == TOO_LARGE:
        return _(
            "This proposal has no files to check it with: packed they would be larger than "
            "%(megabytes)s MB. Share out one venue at a time to get them.",
            megabytes=figure(MOST_BYTES / 1_000_000, ".1f"),
        )
    return _(
        "This proposal is of an earlier release and has no files to check it with; share out again "
        "to get them."
    )


def _why_no_files_of_turns(proposal: Proposal) -> str:
    if proposal.saved.get(LEFT_OUT) == TOO_LARGE:
        return _(
            "These turns have no files to check them with: packed they would be larger than "
            "%(megabytes)s MB.",
            megabytes=figure(MOST_BYTES / 1_000_000, ".1f"),
        )
    return _(
        "These turns are of an earlier release and have no files to check them with; plan them "
        "again to get them."
    )


def see_file_to_check(store: Store, number: int, which: str) -> FileToCheck:
    """Return the problem or the result of a proposal as a file.

    Args:
        store: The database.
        number: Which proposal.
        which: `PROBLEM` or `RESULT`.

    Raises:
        MissingError: If there is no such proposal, or it has no such file.
    """
    proposal = see_proposal(store, number)
    if not has_files(proposal.saved):
        raise MissingError(why_no_files(proposal))
    try:
        data = _unpack(proposal.saved[KEPT][which])
    except (KeyError, binascii.Error, zlib.error) as fault:
        raise MissingError(
            _("This proposal's files to check it with cannot be read; share out again to get them.")
        ) from fault
    return FileToCheck(f"proposal-{number}-{which}.json", data)


def _pack(text: str) -> str:
    """Pack a text into capital letters and digits, in which no name can stand as a word."""
    return base64.b32encode(zlib.compress(text.encode(), 9)).decode("ascii")


def _unpack(packed: str) -> bytes:
    return zlib.decompress(base64.b32decode(packed))


def _nameless(problem: Problem, outcome: Outcome) -> tuple[Problem, Outcome]:
    """Number coaches, and leave out for whom ground is booked, in a problem and its result."""
    names = _coaches(problem)
    plain = _without_names(problem, names)
    refusals = tuple(
        replace(
            refusal,
            reasons=tuple(_reason(reason, names) for reason in refusal.reasons),
            changes=tuple(_change(change, names) for change in refusal.changes),
        )
        for refusal in outcome.refusals
    )
    certificate = outcome.certificate and _certificate(outcome.certificate, names)
    return plain, replace(
        outcome, refusals=refusals, certificate=certificate, problem_digest=digest(plain)
    )


def _coaches(problem: Problem) -> dict[str, str]:
    """Number the coaches of a problem."""
    known = dict.fromkeys(ask.coach for ask in problem.asks if ask.coach)
    return {coach: f"coach {n}" for n, coach in enumerate(known, 1)}


def _without_names(problem: Problem, names: Mapping[str, str]) -> Problem:
    return replace(
        problem,
        asks=tuple(_ask(ask, names) for ask in problem.asks),
        standing=tuple(replace(one, label=BOOKED) for one in problem.standing),
    )


def _ask(ask: Ask, names: Mapping[str, str]) -> Ask:
    return replace(ask, coach=names[ask.coach]) if ask.coach else ask


def _facts(facts: Facts, names: Mapping[str, str]) -> Facts:
    return replace(facts, person=names.get(facts.person, facts.person))


def _reason(reason: Reason, names: Mapping[str, str]) -> Reason:
    return replace(reason, facts=_facts(reason.facts, names))


def _change(change: Change, names: Mapping[str, str]) -> Change:
    return replace(change, ask=_ask(change.ask, names), facts=_facts(change.facts, names))


def _certificate(certificate: Certificate, names: Mapping[str, str]) -> Certificate:
    prices = tuple(
        replace(price, coach=names.get(price.coach, price.coach)) if price.coach else price
        for price in certificate.person_prices
    )
    return replace(certificate, person_prices=prices)
