"""Writing squads and asks back in the words of the squads file, to be read back the same."""

from __future__ import annotations

import csv
import io
from fractions import Fraction
from typing import TYPE_CHECKING

from clubplanner.domain.club.persons.coaches import is_phone
from clubplanner.domain.formulas import guard_cell
from clubplanner.domain.times.times import WEEKDAYS, clock_from_minute
from clubplanner.domain.times.windows import write_windows
from clubplanner.inputs.club_files.squads_file import coach_cells
from clubplanner.inputs.club_files.squads_file.least_ground import SHARES
from clubplanner.inputs.club_files.squads_file.squads import CLUB, COLUMNS, NO_SESSIONS
from clubplanner.inputs.club_files.squads_file.wants import PARTNERS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from clubplanner.domain.club.squads import Ask, AskWish, LeastGround, Squad

"""A spreadsheet would take a cell that begins so for a formula; of ours only a telephone number has
to, and that is none."""


def row_of_squad(squad: Squad) -> dict[str, str]:
    """Return the cells that describe a squad."""
    return {
        "squad": squad.name,
        "age group": squad.age_group,
        "players": str(squad.players),
        "goalkeepers": str(squad.goalkeepers),
        "coach": squad.coach,
        "coach e-mail": squad.coach_email,
        "coach phone": squad.coach_phone,
        "assistants": coach_cells.write_assistants(squad.assistants),
        **({CLUB: squad.club} if squad.club else {}),
    }


def row_of_ask(ask: Ask, names: Mapping[str, str]) -> dict[str, str]:
    """Return the cells of an ask.

    Args:
        ask: The ask.
        names: Name of each squad by its key, for wishes about other squads.
    """
    latest = ask.latest_finish_min
    return {
        "sessions a week": str(ask.sessions),
        "minutes": str(ask.minutes),
        "possible": write_windows(ask.possible),
        "preferred": write_windows(ask.preferred),
        "least ground": ", ".join(_least(ask.least_ground)),
        "surface": ", ".join(sorted(ask.surfaces)),
        "needs goal": "yes" if ask.needs_goal else "no",
        "needs light": "yes" if ask.needs_light else "no",
        "priority": "" if ask.priority == 1 else str(ask.priority),
        "latest finish": "" if latest is None else clock_from_minute(latest),
        "rest days": str(ask.rest_days) if ask.rest_days else "",
        "free day before": _days(ask.no_day_before),
        "free day after": _days(ask.no_day_after),
        "evenings in a row": "" if ask.most_in_a_row is None else str(ask.most_in_a_row),
        "wishes": "; ".join(_wish(wish) for wish in ask.wishes),
        "other squads": "; ".join(
            f"{_HOW[one.kind]} {names.get(one.squad_key, one.squad_key)} = {one.grade}"
            for one in ask.partners
        ),
    }


def write_table(rows: Iterable[Mapping[str, str]], *, is_for_sheets: bool = False) -> str:
    """Write rows as a squads file that `read_squads` takes; with clubs only where there is one.

    Args:
        rows: Cells by column; a column left out is blank.
        is_for_sheets: Whether a spreadsheet may open it: cells that it would take for a formula
            are guarded, a telephone number aside.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    kept = list(rows)
    columns = (*COLUMNS, CLUB) if any(row.get(CLUB) for row in kept) else COLUMNS
    writer.writerow(columns)
    for row in kept:
        cells = [row.get(column, "") for column in columns]
        writer.writerow([_harmless(cell) for cell in cells] if is_for_sheets else cells)
    return text.getvalue()


def no_ask() -> dict[str, str]:
    """Return the cells of a squad that asks for nothing."""
    return {"sessions a week": NO_SESSIONS}


def write_without_coaches(rows: Iterable[Mapping[str, str]]) -> str:
    """Write rows as a squads file that says nothing of coaches, and loses nothing else.

    Args:
        rows: Cells by column; a column left out is blank.
    """
    columns = [column for column in COLUMNS if column not in coach_cells.COLUMNS]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([guard_cell(row.get(column, "")) for column in columns] for row in rows)
    return text.getvalue()


_HOW = {kind: how for how, kind in PARTNERS.items()}


def _least(least: LeastGround) -> list[str]:
    words = []
    if least.area_m2:
        metres = f"{least.area_m2:.6f}".rstrip("0").rstrip(".")
        words.append(f"{metres} m2")
    if least.share:
        named = [word for word, share in SHARES.items() if abs(share - least.share) < 1e-9]
        words.append(named[0] if named else str(Fraction(least.share).limit_denominator(99)))
    if least.format_code:
        words.append(least.format_code)
    return words


def _days(days: Iterable[int]) -> str:
    return ", ".join(WEEKDAYS[day][:3] for day in sorted(days))


def _wish(wish: AskWish) -> str:
    """Write a wish; times on different days become entries of their own, of the same grade."""
    words = write_windows(wish.windows) or _days(wish.weekdays) or wish.place
    return "; ".join(f"{entry} = {wish.grade}" for entry in words.split("; "))


def _harmless(cell: str) -> str:
    return cell if is_phone(cell) else guard_cell(cell)
