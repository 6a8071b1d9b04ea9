"""The privacy page, and the form of the club's periods."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.club.persons.keeping import (
    FEWEST_DAYS,
    MOST_DAYS,
    SETTINGS,
    USUAL,
    WORDS,
    Period,
    field_of,
)
from clubplanner.errors import FaultyInputError, OutdatedError
from clubplanner.inputs.club_files.keeping import read_typed_keeping
from clubplanner.language import _, term
from clubplanner.services.keeping.part_words import told_of
from clubplanner.services.rows.club.keeping_rows import load_keeping, save_keeping
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.personal_kinds import Part
from clubplanner.store.tables.club_tables import ClubRow

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clubplanner.domain.club.persons.keeping import Keeping
    from clubplanner.services.keeping.part_words import Told
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class PrivacyPage:
    """What everybody may know of what is kept.

    Attributes:
        club: The club's name; blank before there is one.
        ask: Whom to ask; blank for the secretary without a name.
        parts: What is kept, kind by kind.
    """

    club: str
    ask: str
    parts: tuple[Told, ...]


@dataclass(frozen=True, slots=True)
class PeriodField:
    """A period in its form.

    Attributes:
        name: As files call it.
        words: What it is of.
        bounds: From how many days to how many.
        usual: How many days are usual.
    """

    name: str
    words: str
    fewest: int
    most: int
    usual: int


@dataclass(frozen=True, slots=True)
class KeepingForm:
    """The form of the club's periods.

    Attributes:
        values: What stands, by the keys of the settings file.
        periods: Its fields.
        seen: What stands, as a digest: the form sends it back, so that the later of two is told.
    """

    values: dict[str, str]
    periods: tuple[PeriodField, ...]
    seen: str


def see_privacy(store: Store) -> PrivacyPage:
    """Say what is kept of people, for everybody."""
    with store.read() as session:
        keeping, club = load_keeping(session), session.get(ClubRow, 1)
        parts = tuple(told_of(part, keeping) for part in Part if part is not Part.CLUB)
        return PrivacyPage("" if club is None else club.name, keeping.ask, parts)


def see_keeping_form(store: Store) -> KeepingForm:
    """Return the form of the club's periods."""
    with store.read() as session:
        keeping = load_keeping(session)
    fields = tuple(
        PeriodField(
            field_of(period),
            term(WORDS[period]),
            FEWEST_DAYS[period],
            MOST_DAYS,
            USUAL.days_of(period),
        )
        for period in Period
    )
    return KeepingForm(_values(keeping), fields, _digest(keeping))


def save_keeping_form(store: Store, typed: Mapping[str, str], seen: str) -> None:
    """Write whom to ask and for how long things are kept.

    Raises:
        FaultyInputError: With every fault; `where` is the key.
        OutdatedError: If somebody changed it since the form was shown.
    """
    values: dict[str, object] = {"ask": typed.get("ask", "")}
    for name in SETTINGS[1:]:
        text = typed.get(name, "").strip()
        if text:
            values[name] = int(text) if text.isdecimal() and len(text) < 10 else text
    with store.write() as session:
        if _digest(load_keeping(session)) != seen:
            raise OutdatedError(
                _(
                    "Somebody has changed these periods in the meantime; look at what stands now, "
                    "then save yours again."
                )
            )
        keeping, problems = read_typed_keeping(values)
        if keeping is None or problems:
            raise FaultyInputError(problems)
        describe_change(session, _("changed for how long things are kept"))
        save_keeping(session, keeping)


def _values(keeping: Keeping) -> dict[str, str]:
    return {name: str(value) for name, value in asdict(keeping).items()}


def _digest(keeping: Keeping) -> str:
    text = json.dumps(_values(keeping), sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]
