"""An invented club without a weekly plan, that shares its ground out evening by evening.

Fallow Vale play at Marsh Lane on lit pitches of 100 × 64 m, each cut in halves and quarters.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.club.turnouts import Turnout
from clubplanner.services.rows.named import find_squad
from clubplanner.services.rows.people.turnouts import note_turnout
from tests.builders import A_WEDNESDAY, NOW
from tests.loaded import load_once
from tests.small_club import SETTINGS, pitch_feature, small_club_files

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.store.engine import Store

NO_PLAN = SETTINGS.partition("[[stretches]]")[0].replace("Alderby Rovers", "Fallow Vale")
"""Settings of a club that has no stretches and no breaks."""
HEADER = "squad,age group,players,goalkeepers,coach,sessions a week,minutes,possible,least ground\n"


def squad_lines(count: int, possible: str = "Mon-Fri 17:30-20:30") -> str:
    """Return a squads file of so many squads, with ten to twenty-two players each."""
    lines = [
        f"Squad {n:02},U{11 + n % 8},{10 + 4 * (n % 4)},{n % 3},Coach {n:02},2,75,{possible},"
        for n in range(1, count + 1)
    ]
    return HEADER + "\n".join(lines) + "\n"


def load_tonight_club(
    store: Store, squads: int = 16, pitches: int = 5, *, settings: str = NO_PLAN
) -> Store:
    """Load such a club into a migrated store and return the store."""
    features = tuple(
        pitch_feature(
            f"Pitch {n}", 100, 64, surface="artificial", floodlights=True, cuts=["halves", "grid"]
        )
        for n in range(1, pitches + 1)
    )
    files = small_club_files(settings=settings, squads=squad_lines(squads), pitches=features)
    load_once(store, files, NOW)
    return store


def say(store: Store, squad: str, day: date = A_WEDNESDAY, **said: int | bool | None) -> None:
    """Note what is said of a squad's session on a date."""
    with store.write() as session:
        row = find_squad(session, squad)
        note_turnout(session, row.id, day, Turnout(**said), "Kim", NOW)  # type: ignore[arg-type]
