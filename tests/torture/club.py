"""The club that is tortured: ground for few, squads for all, no rule that would spoil the crowd."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.people import Role
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.people.ways_in.tokens import TokenWish, hand_out_token
from clubplanner.services.setup.loading import load_files
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.upkeep.migrate import migrate
from tests.records import make_place, open_records
from tests.small_club import pitch_feature, small_club_files

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime
    from pathlib import Path

SQUADS = 24
COURTS = 4
SETTINGS = """
[club]
name = "Alderby Rovers"
time_zone = "Etc/UTC"
step_minutes = 15

[[venues]]
name = "Marsh Lane"
lon = -1.2
lat = 52.9
opening = "Mon-Sun 00:00-24:00"

[[stretches]]
name = "Season"
starts = {starts}
ends = {ends}
"""
HEADINGS = "squad,age group,players,goalkeepers,coach,coach e-mail,sessions a week,minutes,possible"


@dataclass(frozen=True, slots=True)
class Club:
    """What clients have to know of it.

    Attributes:
        venue: Its key.
        places: The areas by number, each with its pitch's key and its own.
        squads: Keys of the squads, by number.
        secrets: One a client: what a secretary's browser keeps, or a token for the API.
    """

    venue: str
    places: Mapping[int, tuple[str, str]]
    squads: Mapping[int, str]
    secrets: tuple[str, ...]


def make_club(
    path: Path, clients: int, now: datetime, by_api: Callable[[int], bool] = lambda _number: False
) -> Club:
    """Make the club in a place where nothing is yet.

    Args:
        path: The place.
        clients: How many there are.
        now: The present instant.
        by_api: Which of them come in at the API, by number.
    """
    make_place(path)
    store = open_records(path)
    migrate(store)
    settings = SETTINGS.format(
        starts=(now - timedelta(days=30)).date(), ends=(now + timedelta(days=330)).date()
    )
    pitches = (
        pitch_feature("Top pitch", 100, 64, surface="artificial", floodlights=True),
        *(
            pitch_feature(
                f"Hall {n}", 30, 20, surface="indoor", indoor=True, cuts=["halves"], goals=[]
            )
            for n in range(COURTS)
        ),
    )
    squads = "\n".join(
        f"Squad {n},U12,14,1,Coach {n},coach-{n}@alderby.example,1,60,Mon-Sun 00:00-24:00"
        for n in range(SQUADS)
    )
    files = small_club_files(settings=settings, squads=f"{HEADINGS}\n{squads}\n", pitches=pitches)
    load_files(store, files, now)
    secrets = []
    for number in range(clients):
        draft = PersonDraft(f"Secretary {number}", Role.SECRETARY, "")
        person = add_person(store, draft, now)
        if by_api(number):
            wish = TokenWish("The torture", may_change=True, days=30)
            secrets.append(hand_out_token(store, person, wish, now)[1])
            continue
        with store.write() as session:
            secrets.append(open_browser(session, person, "A client", now))
    with store.read() as session:
        areas = session.scalars(select(AreaRow).order_by(AreaRow.id)).all()
        booked_for = session.scalars(select(SquadRow).order_by(SquadRow.id)).all()
        club = Club(
            "marsh-lane",
            {area.id: (area.pitch.key, area.key) for area in areas},
            {squad.id: squad.key for squad in booked_for},
            tuple(secrets),
        )
    store.close()
    return club
