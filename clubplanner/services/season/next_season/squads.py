"""What each squad becomes in the next season: by rule where one is clear, else as somebody says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.club.older_names import a_year_older
from clubplanner.domain.club.squads import age_from_group
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.problems import Problem
from clubplanner.fitting.setting_out.formats import match_of_age
from clubplanner.inputs.club_files.squads_file.squads import LONGEST_NAME
from clubplanner.language import _
from clubplanner.services.rows.ground.known_sizes import published_formats
from clubplanner.services.rows.ground.own_sizes import load_own_formats
from clubplanner.services.rows.seasons.squad_seasons import load_squad_ends
from clubplanner.services.season.next_season.answers import digest_of
from clubplanner.services.season.next_season.values import (
    END,
    ON,
    Fate,
    Given,
    NewSquad,
    SquadNext,
)
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.squad_tables import AskRow, SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.formats import GameFormat

NEW_ROWS = 3
"""Blank rows for squads that begin, beyond those that were typed."""
MOST_NEW = 40
SQUAD_FIELDS = ("name", "group", "fate", "into", "players", "addresses")
NEW_FIELDS = ("name", "group", "players", "like")


@dataclass(frozen=True, slots=True)
class _Looking:
    """What all squads are looked at with; see `propose_squads`."""

    by_words: Mapping[str, int]
    years: int
    day: date
    own: Sequence[GameFormat]
    formats: Mapping[int, set[str]]
    links: Mapping[int, int]
    ends_all: bool


def propose_squads(
    session: Session, answers: Mapping[str, Given], day: date, years: int
) -> tuple[SquadNext, ...]:
    """Propose what becomes of every squad that is there still.

    Args:
        session: An open session.
        answers: What was typed, by what it is about.
        day: A date of the next season, for the forms of the game that are played then.
        years: How many years on it lies.
    """
    ends = load_squad_ends(session)
    rows = [
        row
        for row in session.scalars(select(SquadRow).order_by(SquadRow.position, SquadRow.id))
        if row.id not in ends or ends[row.id].from_day > day
    ]
    looking = _Looking(
        by_words={plain_name(word): row.id for row in rows for word in (row.key, row.name)},
        years=years,
        day=day,
        own=load_own_formats(session),
        formats=_formats(session),
        links=_links(session),
        ends_all=answers.get("season-1", {}).get("addresses") == END,
    )
    return tuple(_squad(row, answers.get(f"squad-{row.id}", {}), looking) for row in rows)


def propose_new(answers: Mapping[str, Given], squads: Sequence[SquadNext]) -> tuple[NewSquad, ...]:
    """Return the rows of squads that begin: those typed, and blank ones."""
    typed = [int(item.partition("-")[2]) for item in answers if item.startswith("new-")]
    last = max((n for n in typed if any(answers[f"new-{n}"].values())), default=0)
    numbers = {plain_name(squad.name): squad.number for squad in squads}
    return tuple(
        _new(f"new-{n}", answers.get(f"new-{n}", {}), numbers)
        for n in range(1, min(last + NEW_ROWS, MOST_NEW) + 1)
    )


def squad_problems(squads: Sequence[SquadNext], begin: Sequence[NewSquad]) -> Iterator[Problem]:
    """Yield what is asked, and what does not go together."""
    by_number = {squad.number: squad for squad in squads}
    for squad in squads:
        yield from _problems_of(squad, by_number)
    for new in begin:
        yield from _problems_of_new(new)
    yield from _taken(squads, begin)


def typed_about_squad(squad: SquadNext, typed: Given, years: int) -> Given:
    """Return what was typed about a squad as far as it is not what is proposed, or stands now.

    Whoever says that a squad stays as it is, or ends, has not typed the name that the form still
    shows from before.

    Args:
        squad: As the form showed it, or as somebody else changed it since.
        typed: Every field as it was sent.
        years: How many years on the next season lies.
    """
    older = a_year_older(squad.name, squad.age_group, years)
    ages = (Fate.OLDER, Fate.UNDECIDED)
    is_typed = squad.fate in ages and typed.get("fate", "") in ages
    own = {
        "name": {older.name} if is_typed else {older.name, squad.name},
        "group": {older.age_group} if is_typed else {older.age_group, squad.age_group},
        "players": {squad.shown["players_now"]},
        "into": {""},
        "addresses": {""},
        "fate": {_usual_fate(squad.name, squad.age_group, years).value},
    }
    return {name: value for name, value in typed.items() if value not in own[name]}


def _usual_fate(name: str, age_group: str, years: int) -> Fate:
    older = a_year_older(name, age_group, years)
    if older.doubt:
        return Fate.UNDECIDED
    return Fate.OLDER if older.differs(name, age_group) else Fate.SAME


def _squad(row: SquadRow, given: Given, looking: _Looking) -> SquadNext:
    older = a_year_older(row.name, row.age_group, looking.years)
    usual = _usual_fate(row.name, row.age_group, looking.years)
    fate = _fate(given.get("fate", usual.value))
    is_moved = fate in (Fate.OLDER, Fate.UNDECIDED)
    name, group = (older.name, older.age_group) if is_moved else (row.name, row.age_group)
    shown = {
        "name": given.get("name", name),
        "group": given.get("group", group),
        "fate": fate.value,
        "into": given.get("into", ""),
        "players": given.get("players", str(row.players)),
        "players_now": str(row.players),
        "addresses": given.get("addresses", ""),
    }
    into = looking.by_words.get(plain_name(shown["into"]))
    return SquadNext(
        number=row.id,
        name=row.name,
        age_group=row.age_group,
        item=f"squad-{row.id}",
        shown=shown,
        fate=fate,
        into=into if fate is Fate.MERGES else None,
        becomes=shown["name"] if fate.goes_on or fate is Fate.UNDECIDED else row.name,
        becomes_group=shown["group"],
        doubt=older.doubt,
        hints=_hints(row, shown["group"], looking) if fate.goes_on else (),
        links=looking.links.get(row.id, 0),
        ends_links=shown["addresses"] == END or (not shown["addresses"] and looking.ends_all),
        was=digest_of(given),
    )


def _fate(word: str) -> Fate:
    return Fate(word) if word in set(Fate) else Fate.UNDECIDED


def _new(item: str, given: Given, numbers: Mapping[str, int]) -> NewSquad:
    shown = {name: given.get(name, "") for name in NEW_FIELDS}
    like = numbers.get(plain_name(shown["like"]))
    return NewSquad(item, shown, like, digest_of(given))


def _problems_of(squad: SquadNext, by_number: Mapping[int, SquadNext]) -> Iterator[Problem]:
    if squad.fate is Fate.UNDECIDED:
        words = _("%(squad)s: say what becomes of them.", squad=squad.name)
        yield Problem(f"{squad.item}-fate", "undecided", words)
        return
    if squad.fate is Fate.MERGES:
        other = by_number.get(squad.into or 0)
        if other is None or other.number == squad.number:
            words = _(
                "%(squad)s: write which other squad they merge into, by its name of today.",
                squad=squad.name,
            )
            yield Problem(f"{squad.item}-into", "into", words)
        elif not other.fate.goes_on:
            words = _(
                "%(squad)s cannot merge into %(other)s, who do not go on; choose another squad.",
                squad=squad.name,
                other=other.name,
            )
            yield Problem(f"{squad.item}-into", "into", words)
    if squad.fate.goes_on:
        if not squad.becomes.strip():
            words = _("%(squad)s: enter what they are called.", squad=squad.name)
            yield Problem(f"{squad.item}-name", "missing", words)
        yield from _too_long(f"{squad.item}-name", squad.becomes)
        if not 1 <= squad.players <= 999:
            words = _("%(squad)s: enter how many players come, such as 14.", squad=squad.name)
            yield Problem(f"{squad.item}-players", "number", words)
    if squad.shown["addresses"] not in ("", ON, END):
        words = _("%(squad)s: say whether their addresses go on or end.", squad=squad.name)
        yield Problem(f"{squad.item}-addresses", "addresses", words)


def _too_long(where: str, name: str) -> Iterator[Problem]:
    letters = len(name.strip())
    if letters > LONGEST_NAME:
        words = _("The name has %(name)s letters; use at most 80", name=letters)
        yield Problem(where, "too-long", words)


def _problems_of_new(new: NewSquad) -> Iterator[Problem]:
    if not any(new.shown.values()):
        return
    if not new.name.strip():
        words = _("Enter what the new squad is called, or leave its row blank.")
        yield Problem(f"{new.item}-name", "missing", words)
    yield from _too_long(f"{new.item}-name", new.name)
    players = new.shown["players"]
    if not (players.isdecimal() and len(players) < 4 and int(players)):
        words = _("%(squad)s: enter how many players come, such as 14.", squad=new.name)
        yield Problem(f"{new.item}-players", "number", words)
    if new.shown["like"] and new.like is None:
        words = _(
            "There is no squad “%(like)s” whose asks %(squad)s could take; write a name of today.",
            like=new.shown["like"],
            squad=new.name,
        )
        yield Problem(f"{new.item}-like", "like", words)


def _taken(squads: Sequence[SquadNext], begin: Sequence[NewSquad]) -> Iterator[Problem]:
    """Yield names that two squads of the next season would have."""
    names = [(squad.item, squad.becomes) for squad in squads if squad.fate.goes_on]
    names += [(new.item, new.name) for new in begin if new.name.strip()]
    first: dict[str, str] = {}
    for item, name in names:
        key = key_from_name(name)
        if name.strip() and key in first:
            words = _(
                "Two squads would be called %(name)s; give one of them another name, or let one "
                "end or merge.",
                name=name,
            )
            yield Problem(f"{item}-name", "taken", words)
        first.setdefault(key, item)


def _hints(row: SquadRow, group: str, looking: _Looking) -> tuple[str, ...]:
    """Say where a squad asks for ground of the game that it has grown out of."""
    codes = looking.formats.get(row.id, ())
    before, after = (
        match_of_age(looking.own, published_formats(), age_from_group(text), on=looking.day)
        for text in (row.age_group, group)
    )
    if before is None or after is None or before.code == after.code or before.code not in codes:
        return ()
    return (
        _(
            "They ask for ground that fits %(before)s; matches of this age are %(after)s. "
            "Correct it on the squad's page if they train so.",
            before=before.code,
            after=after.code,
        ),
    )


def _formats(session: Session) -> dict[int, set[str]]:
    found: dict[int, set[str]] = {}
    for number, code in session.execute(
        select(AskRow.squad_id, AskRow.least_format).where(AskRow.least_format != "")
    ):
        found.setdefault(number, set()).add(code)
    return found


def _links(session: Session) -> dict[int, int]:
    rows = session.execute(
        select(LinkRow.squad_id, func.count(LinkRow.id))
        .where(LinkRow.squad_id.is_not(None), LinkRow.revoked_at.is_(None))
        .group_by(LinkRow.squad_id)
    )
    return {number: count for number, count in rows if number is not None}
