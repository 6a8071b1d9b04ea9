"""Who acts when somebody types a command."""

from __future__ import annotations

from clubplanner.domain.club.people import Person, Role

SECRETARY = Person(0, "the command line", Role.SECRETARY, "")
