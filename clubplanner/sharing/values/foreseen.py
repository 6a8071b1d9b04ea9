"""What can be told before anything is shared out: who finds no ground, and how much there is."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Remedy:
    """A single change with which an ask by itself finds more ground; tried, not guessed.

    Attributes:
        code: "goal", "lit", "booked", "limit" (of a pitch), "opening", "lights" (of a venue); of
            the ask "smaller", "other time", "other surface", "other format", "without goal",
            "without light", "other venue", "later finish", "earlier start", "free days", "rest",
            "in a row", "other day", "shorter" or "fewer".
        text: What to do, a whole sentence.
        place: Where and when there is ground then, in words; blank for "fewer".
        gained: How many more sessions find ground.
        pitch: Key of the pitch whose record would change; blank for others.
        venue: Key of the venue whose record would change; blank for others.
    """

    code: str
    text: str
    place: str
    gained: int
    pitch: str = ""
    venue: str = ""

    @property
    def is_of_ask(self) -> bool:
        """Whether the ask would change, and not the ground."""
        return not (self.pitch or self.venue)


@dataclass(frozen=True, slots=True)
class Trouble:
    """An ask that has too little ground even with the whole club to itself.

    Attributes:
        ask: Its key.
        squad: Key of its squad.
        squad_name: As people say it.
        sessions: How many it asks for.
        missing: How many of them find no ground, whoever else goes without.
        text: Why, whole sentences; blank where it was not looked into.
        remedies: What would change it, the best first; empty also where it was not looked into.
    """

    ask: str
    squad: str
    squad_name: str
    sessions: int
    missing: int
    text: str = ""
    remedies: tuple[Remedy, ...] = ()


@dataclass(frozen=True, slots=True)
class Common:
    """A change of the ground that would help several squads.

    Attributes:
        code: As in `Remedy`.
        text: What to do, a whole sentence.
        squads: Keys of the squads it helps, two or more.
        pitch: As in `Remedy`.
        venue: As in `Remedy`.
    """

    code: str
    text: str
    squads: tuple[str, ...]
    pitch: str = ""
    venue: str = ""


@dataclass(frozen=True, slots=True)
class ShortSpell:
    """A time of a day at which more ground is asked for than there is, half-open."""

    day: int
    start_min: int
    end_min: int


@dataclass(frozen=True, slots=True)
class Supply:
    """How much training is asked for in a week, and for how much of it there is ground.

    Attributes:
        sessions: Sessions asked for.
        asked_minutes: Their length together.
        room_minutes: For about how much of that there is ground in the hours asked for: by size
            and time alone, so that a plan may well place less. None where that was not looked at.
        short: When ground is short, in order.
    """

    sessions: int
    asked_minutes: int
    room_minutes: int | None
    short: tuple[ShortSpell, ...]

    @property
    def is_short(self) -> bool:
        """Whether there is not ground for all."""
        return self.room_minutes is not None and self.room_minutes < self.asked_minutes
