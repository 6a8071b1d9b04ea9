"""From the names and addresses of a squads file to people: who is meant, and who is new."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.club.persons.coaches import can_be_one
from clubplanner.language import _
from clubplanner.services.rows.people.people_rows import new_coach
from clubplanner.store.tables.people_tables import PersonRow, SquadCoachRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.persons.coaches import Coach


class CoachBook:
    """Finds the people that a file means, and brings them up to date; it writes people only.

    The same mail address is the same person: another name beside it corrects theirs. Without an
    address it is somebody of that name: first who coaches the squad already, then who coaches or
    signs in. What the file leaves blank stays as it is known.
    """

    def __init__(self, session: Session, mentioned: Iterable[Coach], now: datetime) -> None:
        """Look at everybody who is known.

        Args:
            session: The open write session.
            mentioned: Everybody the file names.
            now: The present instant.
        """
        self._session, self._now = session, now
        people = session.scalars(select(PersonRow).order_by(PersonRow.id)).all()
        self._squads: dict[int, set[int]] = defaultdict(set)
        for row in session.scalars(select(SquadCoachRow).where(SquadCoachRow.ended_at.is_(None))):
            self._squads[row.person_id].add(row.squad_id)
        self._names: defaultdict[str, list[str]] = defaultdict(list)
        for coach in mentioned:
            if coach.email:
                self._names[plain_name(coach.email)].append(coach.name)
        self._named: set[int] = set()
        self._called = {plain_name(p.email): p.name for p in people if p.email}
        self._by_address: dict[str, PersonRow] = {}
        self._namesakes: defaultdict[str, dict[int, PersonRow]] = defaultdict(dict)
        for person in people:
            self._enter(person)

    def names_at_odds(self) -> list[tuple[str, Sequence[str]]]:
        """Return addresses that stand beside several new names: that cannot be one person."""
        found: list[tuple[str, Sequence[str]]] = []
        for email, names in self._names.items():
            new = self._new_names(email)
            if len(new) > 1:
                found.append((email, [n for n in dict.fromkeys(names) if plain_name(n) in new]))
        return found

    def find(self, coach: Coach, squad_id: int) -> PersonRow:
        """Return whom an entry of a squad's row means.

        Args:
            coach: Name, address, telephone number.
            squad_id: The squad.
        """
        person = self._by_email(coach.email) or self._by_name(coach, squad_id) or self._add(coach)
        name, email, phone = self._name_of(coach, person), coach.email or person.email, coach.phone
        known = (person.name, person.email, person.phone)
        if (name, email, phone or person.phone) != known:
            self._strike(person)
            person.name, person.email, person.phone = name, email, phone or person.phone
            person.version += 1
            self._enter(person)
        self._squads[person.id].add(squad_id)
        return person

    def _by_email(self, email: str) -> PersonRow | None:
        return self._by_address.get(plain_name(email)) if email else None

    def _by_name(self, coach: Coach, squad_id: int) -> PersonRow | None:
        def likely(person: PersonRow) -> tuple[bool, bool, bool, int]:
            squads = self._squads[person.id]
            return squad_id not in squads, not squads, not person.may_sign_in, person.id

        namesakes = self._namesakes[plain_name(coach.name)].values()
        return min(
            (p for p in namesakes if self._can_be(p, coach, squad_id)), key=likely, default=None
        )

    def _enter(self, person: PersonRow) -> None:
        """Let somebody be found by address and name."""
        if person.email:
            self._by_address.setdefault(plain_name(person.email), person)
        self._namesakes[plain_name(person.name)][person.id] = person

    def _strike(self, person: PersonRow) -> None:
        """Let nobody find somebody by what they were called until now."""
        if self._by_address.get(plain_name(person.email)) is person:
            del self._by_address[plain_name(person.email)]
        self._namesakes[plain_name(person.name)].pop(person.id, None)

    def _can_be(self, person: PersonRow, coach: Coach, squad_id: int) -> bool:
        # A squad's coach of the same name has another address now, unless the file says that the
        # one known is still somebody's.
        has_moved = (
            squad_id in self._squads[person.id] and plain_name(person.email) not in self._names
        )
        email = "" if has_moved else person.email
        return can_be_one(coach.name, coach.email, person.name, email)

    def _name_of(self, coach: Coach, person: PersonRow) -> str:
        """Return what a person is called from now on: as the file's first row of theirs writes it.

        Where the file corrects the name beside a known address, other rows may have the old one.
        """
        if person.id in self._named:
            return person.name
        self._named.add(person.id)
        email = plain_name(coach.email)
        new = self._new_names(email) if email in self._called else set()
        corrected = next((n for n in self._names[email] if plain_name(n) in new), "")
        return corrected or coach.name or person.name

    def _new_names(self, email: str) -> set[str]:
        was = plain_name(self._called.get(email, ""))
        return {plain_name(name) for name in self._names[email] if name} - {was}

    def _add(self, coach: Coach) -> PersonRow:
        person = new_coach(coach.name, coach.email, self._now, coach.phone)
        self._session.add(person)
        self._session.flush()
        self._enter(person)
        return person


def odds_in_words(email: str, names: Sequence[str]) -> str:
    """Say that an address stands beside several names."""
    return _(
        "%(email)s stands beside several names (%(names)s), but one address is one person; write "
        "one name, or leave the address out beside the others.",
        email=email,
        names=", ".join(names),
    )
