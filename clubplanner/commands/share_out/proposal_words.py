"""A proposal as the command line tells it."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from clubplanner.services.proposals.kept_reasons import told_together

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from clubplanner.services.proposals.differences.words import DifferenceLine
    from clubplanner.services.proposals.kept_reasons import RefusalShown
    from clubplanner.services.proposals.proposal_page import ProposalPage
    from clubplanner.services.proposals.weeks.words import WeekShown
    from clubplanner.services.share_out.anew.beforehand import Beforehand


def proposal_in_words(page: ProposalPage) -> str:
    """Write what a proposal comes to and changes, and who goes without."""
    return "\n".join(_lines(page))


def proposal_value(page: ProposalPage) -> dict[str, Any]:
    """Return the same for a program."""
    return {
        "number": page.number,
        "sort": page.sort.value,
        "sort_words": page.sort_words,
        "stretch": page.stretch_key,
        "stretch_name": page.stretch_name,
        "created_at": page.created_at,
        "published_at": page.published_at,
        "sentence": page.sentence,
        "publishing": page.difference.fault or page.difference.sentence,
        "why": list(page.why),
        "hit": list(page.hit),
        "disturbed": list(page.disturbed),
        "changes": [
            {"squad_name": squad.squad_name, **asdict(line)}
            for squad in page.difference.squads
            for line in squad.lines
        ],
        "levels": [asdict(level) for level in page.levels],
        "refusals": [asdict(refusal) for refusal in page.refusals],
        "not_said": [one.words for one in page.not_said],
        "week": None if page.week is None else asdict(page.week),
        "turns": [
            {
                "day": group.day,
                "words": group.words,
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


def refusal_lines(refusals: Iterable[RefusalShown]) -> Iterator[str]:
    """Write who goes without, in a sentence first, then what would help and what is in the way."""
    for group in told_together(refusals):
        yield f"{group.names}, {group.missing} missing:"
        for names, answer in group.answers:
            yield f"  {names}: {answer}" if len(group.answers) > 1 else f"  {answer}"
        yield from (f"  Would help: {change}" for change in group.told.changes)
        yield from (f"  In the way: {reason}" for reason in group.told.reasons[1:])


def beforehand_lines(found: Beforehand, not_said: Iterable[str]) -> list[str]:
    """Write what will go wrong before a stretch is shared out."""
    lines = [f"{found.stretch_name}:"]
    if found.fault:
        return [*lines, f"  {found.fault}"]
    lines += [f"  {words}" for words in (found.supply, found.short, found.outcome) if words]
    lines += [f"  {words}" for words in not_said]
    lines += [f"  {one.words}. {one.then}" for one in found.common]
    for trouble in found.troubles:
        lines.append(f"{trouble.squad_name}, {trouble.missing} of {trouble.sessions} sessions:")
        lines.append(f"  {trouble.cause}")
        for one in trouble.remedies:
            lines.append(f"  Would change it: {one.words}" + (f" ({one.then})" if one.then else ""))
    if found.idle:
        lines.append(f"Nothing is asked for by {', '.join(name for _key, name in found.idle)}.")
    return lines


def _week_lines(week: WeekShown) -> Iterator[str]:
    """Write how far apart sessions lie, how even evenings are and what that cost."""
    if week.apart:
        yield week.apart
    yield from (f"  {', '.join(near.squads)}: {near.why}" for near in week.near)
    if week.ways_note:
        yield week.ways_note
    yield from (f"  {way.words}" for way in week.ways)
    if week.evenings:
        yield "Sessions by evening:"
    yield from (f"  {evenings.words}" for evenings in week.evenings)
    yield from week.cost


def _lines(page: ProposalPage) -> Iterator[str]:
    yield f"{page.sort_words} {page.number}, {page.stretch_name}: {page.sentence}"
    yield from page.why
    for level in page.levels:
        yield f"  {level.name}: {level.words}"
    if page.week is not None:
        yield from _week_lines(page.week)
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
    yield from refusal_lines(page.refusals)
    yield from (one.words for one in page.not_said)
    yield f"Publish it with: clubplanner proposals publish {page.number}"
