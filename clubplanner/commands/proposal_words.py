"""A proposal as the command line tells it."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.services.proposals.difference_words import DifferenceLine
    from clubplanner.services.proposals.proposal_page import ProposalPage, RefusalShown


def proposal_in_words(page: ProposalPage) -> str:
    """Write what a proposal comes to and changes, and who goes without."""
    return "\n".join(_lines(page))


def proposal_value(page: ProposalPage) -> dict[str, Any]:
    """Return the same for a program."""
    return {
        "number": page.number,
        "sort": page.sort.value,
        "sentence": page.sentence,
        "why": list(page.why),
        "hit": list(page.hit),
        "disturbed": list(page.disturbed),
        "changes": [asdict(line) for squad in page.difference.squads for line in squad.lines],
        "levels": [asdict(level) for level in page.levels],
        "refusals": [asdict(refusal) for refusal in page.refusals],
        "turns": [
            {
                "day": group.day,
                "places": dict(group.places),
                "dates": list(group.dates),
                "squads": [asdict(line) for line in group.lines],
            }
            for group in page.turns
        ],
    }


def line_in_words(line: DifferenceLine) -> str:
    """Write one change: "moved: Tuesday … → Thursday …; 12 dates from …"."""
    where = " → ".join(part for part in (line.old, line.new) if part)
    return f"{line.change}: {where}; {line.dates}"


def refusal_lines(refusal: RefusalShown) -> list[str]:
    """Write who goes without, why, and what would help."""
    return [
        f"{refusal.squad_name}, {refusal.missing} missing:",
        *(f"  {reason}" for reason in refusal.reasons),
        *(f"  Would help: {change}" for change in refusal.changes),
    ]


def _lines(page: ProposalPage) -> Iterator[str]:
    yield f"{page.sort_words} {page.number}, {page.stretch_name}: {page.sentence}"
    yield from page.why
    for level in page.levels:
        yield f"  {level.name}: {level.words}"
    if page.hit:
        yield f"Lose their place whatever is done: {', '.join(page.hit)}."
    if page.disturbed:
        yield f"Disturbed besides: {', '.join(page.disturbed)}."
    yield f"Publishing changes: {page.difference.fault or page.difference.sentence}."
    for squad in page.difference.squads:
        yield f"{squad.squad_name}:"
        yield from (f"  {line_in_words(line)}" for line in squad.lines)
    for group in page.turns:
        yield f"Turns on {group.day}: {group.words}"
        yield from (f"  {letter} = {words}" for letter, words in group.places)
        for line in group.lines:
            yield f"  {line.squad_name}: {' '.join(line.letters)} (burden {line.burden})"
    for refusal in page.refusals:
        yield from refusal_lines(refusal)
    yield f"Publish it with: clubplanner share-out publish {page.number}"
