"""What a week drawn over time shows: evenings, pitches, and who has how much of them when."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.domain.ground.lanes import Lane
    from clubplanner.domain.times.times import TimeRange


class Look(StrEnum):
    """How a piece of time and ground is drawn."""

    TRAINING = "training"
    MATCH = "match"
    HIRE = "hire"
    CLOSED = "closed"
    OFFERED = "offered"


class Sign(StrEnum):
    """What a plan does to a session."""

    NONE = ""
    ADDED = "added"
    MOVED = "moved"
    GONE = "withdrawn"


@dataclass(frozen=True, slots=True)
class Block:
    """Somebody's ground and time.

    Attributes:
        during: From when to when.
        lanes: Which parts of the pitch's width on the drawing, 0 to 1.
        who: Who, in a few words.
        words: Who, when and where, as it is read aloud.
        look: How it is drawn.
        times: Its local times.
        mark: The number under which a table beside the drawing has it; blank for none.
        address: Where it leads when it is chosen; blank for nowhere.
        sign: What a plan does to it.
        is_chosen: Whether it is the one that somebody is looking at.
    """

    during: TimeRange
    lanes: tuple[Lane, ...]
    who: str
    words: str
    look: Look = Look.TRAINING
    times: str = ""
    mark: str = ""
    address: str = ""
    sign: Sign = Sign.NONE
    is_chosen: bool = False


@dataclass(frozen=True, slots=True)
class Band:
    """One pitch on one evening.

    Attributes:
        opened: When people may be there, in order.
        blocks: Who is on it; no two share ground and time, those that are gone aside.
        dark_from: From when on it is of no use; None for not on this evening.
        lamps_from: From when on it needs its floodlights; None for not on this evening.
        dark_until: Until when in the morning it is of no use; None for not on this day.
    """

    opened: tuple[TimeRange, ...]
    blocks: tuple[Block, ...]
    dark_from: datetime | None = None
    lamps_from: datetime | None = None
    dark_until: datetime | None = None

    @property
    def is_dark_in_part(self) -> bool:
        """Whether it is of no use at some time that is drawn."""
        return self.dark_until is not None or self.dark_from is not None

    def is_dark_during(self, during: TimeRange) -> bool:
        """Tell whether it is of no use during a part of some time."""
        is_early = self.dark_until is not None and during.starts_at < self.dark_until
        return is_early or (self.dark_from is not None and self.dark_from < during.ends_at)


@dataclass(frozen=True, slots=True)
class Evening:
    """A column.

    Attributes:
        name: The date, in short.
        during: The part of the day that is drawn.
        hours: Instants at which the clock shows a whole hour, with that hour.
        is_now: Whether it is today.
    """

    name: str
    during: TimeRange
    hours: tuple[tuple[datetime, str], ...]
    is_now: bool = False


@dataclass(frozen=True, slots=True)
class DrawnPitch:
    """A row.

    Attributes:
        name: The pitch.
        about: What is said beside its name, such as which end is drawn on top.
        surface: Such as "grass": picks the colour of the ground.
        guides: Where its usual cut divides it, parts between 0 and 1.
        bands: One for every evening, in their order.
    """

    name: str
    about: str
    surface: str
    guides: tuple[float, ...]
    bands: tuple[Band, ...]


@dataclass(frozen=True, slots=True)
class DrawnWeek:
    """What to draw.

    Attributes:
        title: A short name of the drawing.
        summary: The drawing in words.
        evenings: In order of time; at least one.
        pitches: From top to bottom; at least one.
    """

    title: str
    summary: str
    evenings: tuple[Evening, ...]
    pitches: tuple[DrawnPitch, ...]


@dataclass(frozen=True, slots=True)
class Form:
    """The sheet that a week is drawn on.

    Attributes:
        width: Units across; letters are in the same units.
        height: Units that the bands may use together with their names; a band is never lower than
            can be read, so that many pitches take more.
        most_band: No band is higher than this.
        shows_times: Whether blocks carry their times where there is room.
    """

    width: float
    height: float
    most_band: float = 150.0
    shows_times: bool = False


SCREEN = Form(1160.0, 500.0, 130.0)
"""A week on a screen 1,200 pixels wide or wider: a unit is a pixel there, or more."""
NARROW = Form(318.0, 640.0, 104.0, shows_times=True)
"""An evening on a phone 360 pixels wide."""
WIDE_EVENING = Form(1160.0, 560.0, 150.0, shows_times=True)
SHEET = {"a4": Form(1080.0, 590.0, 190.0), "a3": Form(1250.0, 720.0, 190.0)}
"""A sheet on its side, so that the smallest letters stand 8.0 and 10.0 points high: its width
within the margins is 277 mm (785 pt) or 400 mm (1,134 pt)."""
