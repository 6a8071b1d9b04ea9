"""Names that commands had earlier: they go on for a release, with a word on standard error.

A command is a noun, then what is done with it. One word says that something shall not count any
more: withdraw. What only starts the program itself (`init`, `serve`, `worker`, `demo`) or asks
nothing of records (`fit`, `running`, `completion`) is a word by itself.
"""

from __future__ import annotations

EARLIER: dict[str, str] = {
    "ahead": "concerns list",
    "asks hand-back": "bookings hand-back",
    "asks more": "asks add-ground",
    "asks session": "asks add",
    "asks swap": "bookings swap",
    "backup": "records back-up",
    "busy": "calendars",
    "busy end": "calendars withdraw",
    "changes evening": "evenings show",
    "closures close": "closures add",
    "deliver": "mails deliver",
    "fairness": "fairness show",
    "feed": "calendars export squad",
    "grass limit": "grass set-limit",
    "grounds file": "grounds export",
    "grounds look": "grounds load --look",
    "hires book": "hires add",
    "hires end": "hires withdraw",
    "hires longer": "hires extend",
    "light cost": "light set-cost",
    "light dark": "light list-dark",
    "light days": "light show",
    "load": "club load",
    "mails": "mails list",
    "move-records": "records move",
    "restore": "records restore",
    "secretary": "people let-in",
    "share-out again": "share-out run-again",
    "share-out before": "share-out foresee",
    "share-out evening": "share-out run-evening",
    "share-out example": "share-out draw-example",
    "share-out publish": "proposals publish",
    "share-out schema": "share-out show-schema",
    "share-out tonight": "share-out run-tonight",
    "share-out turns": "share-out run-turns",
    "share-out why": "proposals explain",
    "squads end": "squads withdraw",
    "year holidays": "year set-holidays",
    "year next": "year show-next",
    "year next-squad": "year change-next",
    "year remove-break": "year withdraw-break",
    "year squad": "year set-squad",
    "year stretch": "year change-stretch",
}
"""Words as they were typed, and as they are now. One of two words goes before one of its first."""

ALONE = frozenset({"fairness", "mails"})
"""Commands that became nouns: another word after them is that of today."""


def words_of_today(words: list[str]) -> tuple[list[str], str]:
    """Put today's names in the place of earlier ones.

    Args:
        words: What was typed after the options of the program itself.

    Returns:
        The words of today, and what to tell whoever typed the earlier ones; blank for nobody.
    """
    for count in (2, 1):
        typed = " ".join(words[:count])
        if len(words) < count or typed not in EARLIER:
            continue
        if typed in ALONE and words[1:] and not words[1].startswith("-"):
            continue
        if typed in ALONE and set(words[1:]) & {"-h", "--help"}:
            continue
        today = EARLIER[typed]
        note = f"“{typed}” is called “{today}” now, and goes with the next release."
        return [*today.split(), *words[count:]], note
    return words, ""
