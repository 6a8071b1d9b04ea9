"""Proposals name squads and ground by keys and words; these follow when something is renamed.

Published ones follow, too: they are what earlier stretches gave each squad, and what a weekly plan
is shared out again from. What publishing changed stays in the words of its day.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.keys import ground_key
from clubplanner.store.rights import by_rule_of_all
from clubplanner.store.tables.booking_tables import ShareOutRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session

KEYS_OF_SQUADS = ("squad", "squad_key", "squads")
NAMES_OF_SQUADS = ("squad_name", "squad_names", "hit", "disturbed")
KEYS_OF_GROUND = ("ground",)
NAMES_OF_GROUND = ("ground_name",)
TEXTS = ("text", "sentence", "why")
"""Sentences in which names of squads may stand."""
KEPT = "published"
"""What is no longer changed."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """What squads and ground are called, each by its number: its key and its name."""

    squads: Mapping[int, tuple[str, str]]
    grounds: Mapping[int, tuple[str, str]]


@dataclass(frozen=True, slots=True)
class _Renamed:
    """What has another key or name now, old to new."""

    squad_keys: Mapping[str, str]
    squad_names: Mapping[str, str]
    ground_keys: Mapping[str, str]
    ground_names: Mapping[str, str]
    in_texts: re.Pattern[str] | None = field(compare=False)

    @property
    def is_empty(self) -> bool:
        """Whether nothing has."""
        return not (self.squad_keys or self.squad_names or self.ground_keys or self.ground_names)

    def words(self, name: str, text: str, *, in_disruption: bool) -> str:
        """Return a text of a proposal as it is now.

        Args:
            name: Under which it stands.
            text: As it was.
            in_disruption: Whether it stands in what has come up, where squads go by their keys.
        """
        if name in KEYS_OF_SQUADS or (name == "dropped" and in_disruption):
            return self.squad_keys.get(text, self.squad_names.get(text, text))
        if name in NAMES_OF_SQUADS or name == "dropped":
            return self.squad_names.get(text, text)
        if name in KEYS_OF_GROUND:
            return self.ground_keys.get(text, text)
        if name in NAMES_OF_GROUND:
            return self.ground_names.get(text, text)
        if name in TEXTS and self.in_texts is not None:
            return self.in_texts.sub(lambda found: self.squad_names[found[0]], text)
        return text


def load_spoken(session: Session) -> Spoken:
    """Return what squads and ground are called now."""
    areas = session.scalars(select(AreaRow).options(selectinload(AreaRow.pitch)))
    return Spoken(
        {
            number: (key, name)
            for number, key, name in session.execute(
                select(SquadRow.id, SquadRow.key, SquadRow.name)
            )
        },
        {area.id: (ground_key(area.pitch.key, area.key), _ground_name(area)) for area in areas},
    )


def follow_in_proposals(session: Session, before: Spoken) -> int:
    """Let every proposal name squads and ground as they are called now.

    Args:
        session: The open write session.
        before: What `load_spoken` gave before the change.

    Returns:
        How many proposals changed.
    """
    session.flush()
    renamed = _renamed(before, load_spoken(session))
    if renamed.is_empty:
        return 0
    count = 0
    with by_rule_of_all(session):
        for row in session.scalars(select(ShareOutRow)):
            outcome = {
                name: value if name == KEPT else _followed(value, name, renamed)
                for name, value in row.outcome.items()
            }
            if outcome != row.outcome:
                row.outcome = outcome
                count += 1
    return count


def _renamed(before: Spoken, after: Spoken) -> _Renamed:
    squad_keys, squad_names = _changed(before.squads, after.squads)
    ground_keys, ground_names = _changed(before.grounds, after.grounds)
    longest_first = sorted(squad_names, key=len, reverse=True)
    pattern = "|".join(re.escape(name) for name in longest_first)
    in_texts = re.compile(rf"(?<!\w)(?:{pattern})(?!\w)") if pattern else None
    return _Renamed(squad_keys, squad_names, ground_keys, ground_names, in_texts)


def _changed(
    before: Mapping[int, tuple[str, str]], after: Mapping[int, tuple[str, str]]
) -> tuple[dict[str, str], dict[str, str]]:
    """Return keys and names that changed, old to new; a name of several follows none of them."""
    keys: dict[str, str] = {}
    names: dict[str, set[str]] = {}
    for number, (old_key, old_name) in before.items():
        if number in after:
            key, name = after[number]
            if key != old_key:
                keys[old_key] = key
            names.setdefault(old_name, set()).add(name)
    clear = {old: next(iter(new)) for old, new in names.items() if len(new) == 1}
    return keys, {old: new for old, new in clear.items() if old != new}


def _followed(value: Any, name: str, renamed: _Renamed, *, in_disruption: bool = False) -> Any:
    """Return a value of a proposal as it is now; those of a list stand under the list's name."""
    inside = in_disruption or name == "disruption"
    if isinstance(value, str):
        return renamed.words(name, value, in_disruption=inside)
    if isinstance(value, list):
        return [_followed(one, name, renamed, in_disruption=inside) for one in value]
    if isinstance(value, dict):
        return {
            own: _followed(one, own, renamed, in_disruption=inside) for own, one in value.items()
        }
    return value


def _ground_name(area: AreaRow) -> str:
    """Name ground as a share-out does."""
    return part_in_words(area, area.pitch.name)
