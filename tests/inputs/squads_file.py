"""A squads file for tests, written from cells and read."""

from __future__ import annotations

from clubplanner.inputs.club_files.squads_file.squads import COLUMNS, SquadsRead, read_squads

FORMATS = ("11v11", "5v5", "7v7", "9v9")
GOOD = {
    "squad": "U12 Kestrels",
    "age group": "U12",
    "players": "16",
    "goalkeepers": "2",
    "coach": "Robin Hale",
    "coach e-mail": "robin@example.org",
    "coach phone": "",
    "assistants": "",
    "sessions a week": "2",
    "minutes": "75",
    "possible": "Mon-Thu 17:00-20:00",
    "preferred": "Mon, Wed 18:00-19:30",
    "least ground": "third",
    "surface": "artificial",
    "needs goal": "yes",
    "needs light": "no",
    "priority": "",
    "latest finish": "",
    "rest days": "",
    "free day before": "",
    "free day after": "",
    "evenings in a row": "",
    "wishes": "",
    "other squads": "",
}


def write_row(separator: str = ",", **changes: str) -> str:
    """Return a row of the file; `changes` are columns, with underscores for blanks."""
    named = {name.replace("_", " "): value for name, value in changes.items()}
    if "coach email" in named:
        named["coach e-mail"] = named.pop("coach email")
    cells = [{**GOOD, **named}[column] for column in COLUMNS]
    return separator.join(f'"{cell}"' for cell in cells)


def read(*rows: str, header: str = ",".join(COLUMNS)) -> SquadsRead:
    """Read a file made of a header and rows."""
    return read_squads("\n".join((header, *rows)), "squads.csv", FORMATS)


def faults_of(result: SquadsRead) -> list[tuple[str, str]]:
    """Return place and code of every problem, the file's name left out."""
    return [(p.where.removeprefix("squads.csv, "), p.code) for p in result.problems]
