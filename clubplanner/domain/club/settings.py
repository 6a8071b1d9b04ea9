"""The club's own choices: its name, zone and language, and how its evenings are cut."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from clubplanner.domain.club.sharing_rules import SharingRules
from clubplanner.domain.times.zones import zone_from_name
from clubplanner.language import ENGLISH

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo


@dataclass(frozen=True, slots=True)
class ClubSettings:
    """The club's own choices.

    Attributes:
        name: The club's name.
        zone: IANA time zone of all its venues.
        step_minutes: Sessions start at multiples of this.
        changeover_minutes: Kept free between two bookings of the same ground.
        travel_minutes: What a coach needs from one venue to another.
        rules: What else a share-out keeps to.
        language: Code of the language of calendars, mails and the notice board.
    """

    name: str
    zone: str
    step_minutes: int = 15
    changeover_minutes: int = 0
    travel_minutes: int = 30
    rules: SharingRules = field(default_factory=SharingRules)
    language: str = ENGLISH

    @property
    def time_zone(self) -> ZoneInfo:
        """The zone as an object."""
        return zone_from_name(self.zone)
