"""The club's settings as values, for whoever reads no file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.services.rows.snapshot import load_breaks, load_club, load_stretches

if TYPE_CHECKING:
    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.domain.times.seasons import Break, Stretch
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class SettingsShown:
    """What the club has settled.

    Attributes:
        club: Its name, zone, language, steps and rules.
        stretches: Of the season, by date.
        breaks: Dates without training, by date.
    """

    club: ClubSettings
    stretches: tuple[Stretch, ...]
    breaks: tuple[Break, ...]


def see_settings(store: Store) -> SettingsShown:
    """Return the club's settings.

    Raises:
        NoClubError: If there is no club.
    """
    with store.read() as session:
        return SettingsShown(load_club(session), load_stretches(session), load_breaks(session))
