"""Reading squads and their asks from a CSV file, a row an ask."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.domain.club.clubs_within import find_club, full_name, own_name
from clubplanner.domain.club.persons.coaches import Coach
from clubplanner.domain.club.squads import Ask, Squad
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.times.windows import EXAMPLE, told_days
from clubplanner.inputs.club_files.squads_file import coach_cells, wants
from clubplanner.inputs.club_files.squads_file.least_ground import read_least
from clubplanner.inputs.club_files.squads_file.squad_cells import SquadCells
from clubplanner.inputs.reading.faults import Faults, list_words, show_value
from clubplanner.inputs.reading.rows import read_rows
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from clubplanner.domain.club.clubs_within import ClubWithin
    from clubplanner.domain.problems import Problem

COLUMNS = (
    "squad",
    "age group",
    "players",
    "goalkeepers",
    *coach_cells.COLUMNS,
    "sessions a week",
    "minutes",
    "possible",
    "preferred",
    "least ground",
    "surface",
    "needs goal",
    "needs light",
    *wants.COLUMNS,
)
CLUB = "club"
"""A column of records that name clubs within them, and of no others."""
SQUAD_COLUMNS = ("squad", "age group", "players", "goalkeepers", *coach_cells.COLUMNS, CLUB)
ASK_COLUMNS = tuple(column for column in COLUMNS if column not in SQUAD_COLUMNS)
NO_SESSIONS = "0"
REQUIRED = ("squad", "players", "sessions a week", "minutes", "possible")
MOST_PLAYERS = 200
LONGEST_NAME = 80
"""Letters of a squad's name, its club's in front of it included."""
MOST_SESSIONS = 7
SHORTEST_MINUTES, LONGEST_MINUTES = 15, 360


@dataclass(frozen=True, slots=True)
class AskRow:
    """An ask and the row of the file it stands in, counted from 1."""

    row: int
    ask: Ask


@dataclass(frozen=True, slots=True)
class SquadsRead:
    """What a squads file gave: complete only when there is no problem.

    Attributes:
        squads: The squads, with what the file says of their coaches.
        asks: What they ask for.
        problems: Every fault.
        names_assistants: Whether there is a column of assistants; without one nothing is said of
            them.
        names_clubs: Whether there is a column of clubs; without one squads stay whose they are.
        names_coaches: Whether there is any column of coaches; without one all stay who they are.
    """

    squads: tuple[Squad, ...]
    asks: tuple[AskRow, ...]
    problems: tuple[Problem, ...]
    names_assistants: bool = False
    names_clubs: bool = False
    names_coaches: bool = True


def read_squads(
    text: str, file_name: str, format_codes: Collection[str], clubs: Sequence[ClubWithin] = ()
) -> SquadsRead:
    """Read a squads file.

    Separators may be commas, semicolons or tabs. A squad may stand in several rows, one an ask;
    what describes the squad must then be the same or left blank. A squad with 0 sessions a week
    asks for nothing, and says nothing more of that.

    Args:
        text: The whole file.
        file_name: How to call it in problems.
        format_codes: Game formats that "least ground" may name, such as "7v7".
        clubs: The clubs within the record that a row may name; its squad is called by the name of
            its club and its own.
    """
    faults = Faults(file_name)
    columns = (*COLUMNS, CLUB) if clubs else COLUMNS
    read = read_rows(text, faults, columns, REQUIRED, beginning=f"{COLUMNS[0]}, …")
    squads: dict[str, Squad] = {}
    asks: list[AskRow] = []
    names_assistants = names_coaches = names_clubs = False
    for number, cells in read.rows:
        names_assistants = names_assistants or "assistants" in cells
        names_coaches = names_coaches or any(column in cells for column in coach_cells.COLUMNS)
        names_clubs = names_clubs or CLUB in cells
        row = SquadCells(number, cells, faults)
        club = _read_club(row, clubs)
        _refuse_name_of_other(row, club, clubs)
        _read_row(row, club, format_codes, squads, asks)
    if not squads and not faults.found:
        faults.add(
            f"row {read.header_row + 1}",
            "empty",
            _("No squad follows the header; write one squad a row"),
        )
    asks = [_with_own_club(item, squads) for item in asks]
    _check_partners(squads, asks, faults)
    found = tuple(squads.values()), tuple(asks), tuple(faults.found)
    return SquadsRead(*found, names_assistants, names_clubs, names_coaches)


def _with_own_club(item: AskRow, squads: Mapping[str, Squad]) -> AskRow:
    """Let wishes about squads of one's own club leave its name out."""
    squad = squads.get(item.ask.squad_key)
    if squad is None or not squad.club:
        return item

    def meant(key: str) -> str:
        within = key_from_name(full_name(squad.club, key))
        return within if key not in squads and within in squads else key

    partners = (replace(one, squad_key=meant(one.squad_key)) for one in item.ask.partners)
    return replace(item, ask=replace(item.ask, partners=tuple(partners)))


def _check_partners(squads: Mapping[str, Squad], asks: Sequence[AskRow], faults: Faults) -> None:
    """Note wishes about squads that are not in the file, or about a squad and itself."""
    if faults.found:
        return
    for item in asks:
        for partner in item.ask.partners:
            if partner.squad_key not in squads or partner.squad_key == item.ask.squad_key:
                known = list_words([squad.name for squad in squads.values()])
                faults.add(
                    f"row {item.row}, column other squads",
                    "no-such-squad",
                    _(
                        "There is no other squad “%(squad_key)s”; the squads are %(known)s",
                        squad_key=partner.squad_key,
                        known=known,
                    ),
                )


def _read_club(row: SquadCells, clubs: Sequence[ClubWithin]) -> str:
    """Return the name of the club that a row names; blank for none."""
    text = row.text(CLUB)
    if not text:
        return ""
    found = find_club(clubs, text)
    if found is None:
        row.fault(
            CLUB,
            "no-such-club",
            _(
                "There is no club %(club)s here; write %(clubs)s",
                club=show_value(text),
                clubs=list_words([club.name for club in clubs]),
            ),
        )
    return "" if found is None else found.name


def _refuse_name_of_other(row: SquadCells, club: str, clubs: Sequence[ClubWithin]) -> None:
    """Note a squad that is called by the name of another club than that of its row."""
    typed = row.text("squad")
    for other in clubs if club else ():
        if (
            other.name != club
            and not other.has_ended
            and own_name(other.name, typed) != own_name("", typed)
        ):
            row.fault(
                "squad",
                "other-club",
                _(
                    "“%(squad)s” begins with the name of another club; leave it out, or move the "
                    "squad to its new club on its own page first",
                    squad=typed,
                ),
            )


def _read_row(
    row: SquadCells,
    club: str,
    format_codes: Collection[str],
    squads: dict[str, Squad],
    asks: list[AskRow],
) -> None:
    name = full_name(club, " ".join(row.text("squad").split())) if row.text("squad") else ""
    squad = _read_squad(row, name, club, squads.get(key_from_name(name)))
    if _asks_for_nothing(row):
        if not row.faulty:
            squads.setdefault(squad.key, squad)
        return
    minutes = row.whole("minutes", SHORTEST_MINUTES, LONGEST_MINUTES)
    wanted = wants.read_wants(row)
    ask = Ask(
        squad_key=squad.key,
        sessions=row.whole("sessions a week", 1, MOST_SESSIONS),
        minutes=minutes,
        possible=row.windows("possible"),
        preferred=row.windows("preferred"),
        least_ground=read_least(row, format_codes),
        surfaces=frozenset(
            word.strip().lower() for word in row.text("surface").split(",") if word.strip()
        ),
        needs_goal=row.yes("needs goal"),
        needs_light=row.yes("needs light"),
        priority=wanted.priority,
        latest_finish_min=wanted.latest_finish_min,
        rest_days=wanted.rest_days,
        no_day_before=wanted.no_day_before,
        no_day_after=wanted.no_day_after,
        most_in_a_row=wanted.most_in_a_row,
        wishes=wanted.wishes,
        partners=wanted.partners,
    )
    _check_windows(row, ask)
    if not row.faulty:
        squads.setdefault(squad.key, squad)
        asks.append(AskRow(row.number, ask))


def _asks_for_nothing(row: SquadCells) -> bool:
    """Tell whether a row is of a squad alone: no sessions, and not a word of any."""
    return row.text("sessions a week") == NO_SESSIONS and not any(
        row.text(column) for column in ASK_COLUMNS if column != "sessions a week"
    )


def _read_squad(row: SquadCells, name: str, club: str, earlier: Squad | None) -> Squad:
    if not name:
        row.fault("squad", "missing", _("The squad's name is missing; write what people call it"))
    if len(name) > LONGEST_NAME:
        row.fault(
            "squad", "too-long", _("The name has %(name)s letters; use at most 80", name=len(name))
        )
    if earlier is not None:
        return _same_squad(row, earlier)
    players = row.whole("players", 1, MOST_PLAYERS)
    goalkeepers = row.whole("goalkeepers", 0, MOST_PLAYERS, default=0)
    if goalkeepers > players and not row.faulty & {"players", "goalkeepers"}:
        row.fault(
            "goalkeepers",
            "out-of-range",
            _(
                "%(goalkeepers)s goalkeepers are more than the %(players)s players; "
                "goalkeepers are counted among the players",
                goalkeepers=goalkeepers,
                players=players,
            ),
        )
    coaches = coach_cells.read_coaches(row)
    first = coaches[0] if coaches else Coach("")
    return Squad(
        key_from_name(name),
        name,
        row.text("age group"),
        players,
        goalkeepers,
        first.name,
        first.email,
        first.phone,
        assistants=coaches[1:],
        club=club,
    )


def _same_squad(row: SquadCells, earlier: Squad) -> Squad:
    known = {
        "age group": earlier.age_group,
        "players": str(earlier.players),
        "goalkeepers": str(earlier.goalkeepers),
        "coach": earlier.coach,
        "coach e-mail": earlier.coach_email,
        "coach phone": earlier.coach_phone,
        "assistants": coach_cells.write_assistants(earlier.assistants),
    }
    everybody = coach_cells.write_assistants(earlier.coaches)
    for column, value in known.items():
        text = " ".join(row.text(column).split())
        if text not in ("", value) and not (column == "assistants" and text == everybody):
            row.fault(
                column,
                "differs",
                _(
                    "%(column)s differs from the earlier row of %(earlier)s (“%(value)s”); write "
                    "the same, leave it blank, or rename the squad",
                    column=show_value(row.text(column)),
                    earlier=earlier.name,
                    value=value,
                ),
            )
    return earlier


def _check_windows(row: SquadCells, ask: Ask) -> None:
    if not ask.possible:
        if not row.text("possible").strip("; "):
            row.fault(
                "possible",
                "missing",
                _(
                    "Days and times are missing; write them like %(example)s",
                    example=told_days(EXAMPLE),
                ),
            )
        return
    if not row.faulty & {"minutes", "sessions a week"}:
        _check_days(row, ask)
    for wish in ask.preferred:
        if not any(
            w.weekday == wish.weekday and w.start_min < wish.end_min and wish.start_min < w.end_min
            for w in ask.possible
        ):
            row.fault(
                "preferred",
                "not-possible",
                _(
                    "“%(wish)s” lies outside the possible times; add it there or leave it out",
                    wish=wish,
                ),
            )


def _check_days(row: SquadCells, ask: Ask) -> None:
    long_enough = {w.weekday for w in ask.possible if w.end_min - w.start_min >= ask.minutes}
    if not long_enough:
        row.fault(
            "possible",
            "too-short",
            _(
                "No time is as long as the %(minutes)s minutes asked for; widen it or ask for less",
                minutes=ask.minutes,
            ),
        )
    elif len(long_enough) < ask.sessions:
        row.fault(
            "sessions a week",
            "too-many",
            _(
                "%(sessions)s sessions need as many days, but only %(long_enough)s can hold "
                "one; name more days or ask for fewer",
                sessions=ask.sessions,
                long_enough=len(long_enough),
            ),
        )
