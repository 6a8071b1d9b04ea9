"""Templates and filled examples of tables, in the language of whoever asks for them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence  # noqa: TC003 - kept
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.terms import SURFACES
from clubplanner.inputs.club_files.spoken_cells import EVERY, YES_NO, told_cells
from clubplanner.inputs.club_files.squads_file.least_ground import SHARES
from clubplanner.inputs.pasting.kinds import HIRES, KINDS, MATCHES, SQUADS
from clubplanner.language import _, term
from clubplanner.outputs.tables.table import Column, Table
from clubplanner.outputs.tables.text_files import write_csv
from clubplanner.outputs.tables.workbooks import write_workbook
from clubplanner.store.tables.ground_tables import PitchRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

EMPTY, FILLED = "template", "example"
TEMPLATES = (EMPTY, FILLED)

_SQUADS = (
    {
        "squad": "U9 Larks",
        "age group": "U9",
        "players": "14",
        "goalkeepers": "1",
        "coach": "Ida Fern",
        "coach e-mail": "ida.fern@club.example",
        "assistants": "Ole Birk; Mara Stone",
        "sessions a week": "1",
        "minutes": "60",
        "possible": "Mon-Thu 16:30-18:30; Sat 09:00-12:00",
        "preferred": "Tue 17:00-18:00",
        "least ground": "quarter",
        "needs goal": "yes",
        "needs light": "no",
    },
    {
        "squad": "U15 Otters",
        "age group": "U15",
        "players": "18",
        "goalkeepers": "2",
        "coach": "Bela Ray",
        "coach e-mail": "bela.ray@club.example",
        "sessions a week": "2",
        "minutes": "90",
        "possible": "Mon, Wed, Thu 17:30-20:30",
        "least ground": "half",
        "surface": "artificial",
        "needs goal": "yes",
        "needs light": "yes",
    },
)
_MATCHES = (
    {
        "date": "2027-04-17",
        "kick-off": "10:00-12:00",
        "squad": "U9 Larks",
        "opponent": "Brook End",
        "note": "Tea afterwards",
    },
    {
        "date": "2027-04-18",
        "kick-off": "14:00",
        "squad": "U15 Otters",
        "opponent": "Fenwick Rovers",
        "minutes": "85",
        "officials": "Jo Lind, from 13:30",
    },
)

_HIRES = (
    {
        "hirer": "Lantern walkers",
        "days": "Tue",
        "first": "2027-01-12",
        "last": "2027-03-23",
        "every": "weekly",
        "from": "18:00",
        "until": "19:30",
        "pitch": "Top pitch",
        "contact": "Ada Nyman",
        "phone": "01632 960123",
    },
    {
        "hirer": "Brook End School",
        "first": "2027-06-19",
        "from": "10:00",
        "until": "13:00",
        "pitch": "Top pitch",
        "contact": "Jo Lind",
        "note": "Sports day",
    },
)

EXAMPLES: Mapping[str, Sequence[Mapping[str, str]]] = {
    SQUADS: _SQUADS,
    MATCHES: _MATCHES,
    HIRES: _HIRES,
}


def write_template(
    store: Store, kind: str, what: str, ending: str, now: datetime
) -> tuple[bytes, str]:
    """Write a table to fill in, or one that shows how it is filled in.

    Args:
        store: The database, for surfaces, pitches and squads that a cell may offer.
        kind: What the table is about.
        what: `EMPTY` or `FILLED`; the example is an invented club's.
        ending: "csv" or "xlsx".
        now: When it is written.

    Returns:
        The file and what it is called.
    """
    about = KINDS[kind]
    told = [told_cells(row) for row in EXAMPLES[kind]] if what == FILLED else []
    rows = [[row.get(column, "") for column in about.template] for row in told]
    titles = {SQUADS: _("squads"), MATCHES: _("matches"), HIRES: _("hires")}
    filled = _("example") if what == FILLED else _("template")
    name = f"{titles[kind]}-{filled}.{ending}"
    with store.read() as session:
        lists = _lists(session, kind, with_own=what == EMPTY)
    columns = tuple(
        Column(term(about.words[column]), offers=tuple(lists.get(column, ())))
        for column in about.template
    )
    table = Table(titles[kind], columns, rows)
    return (write_csv(table) if ending == "csv" else write_workbook([table], now)), name


def _lists(session: Session, kind: str, *, with_own: bool) -> dict[str, list[str]]:
    """Return what cells offer, by column, in the language spoken now."""
    pitches = session.execute(select(PitchRow.name, PitchRow.surface)).all()
    if kind == MATCHES:
        squads = list(session.scalars(select(SquadRow.name).order_by(SquadRow.position)))
        names = list(dict.fromkeys(name for name, _surface in pitches))
        return {"squad": squads, "pitch": names} if with_own else {}
    if kind == HIRES:
        offered = {"every": [term(word) for word in EVERY]}
        own = {"pitch": list(dict.fromkeys(name for name, _surface in pitches))}
        return offered | own if with_own else offered
    surfaces = sorted({surface for _name, surface in pitches}) or list(SURFACES)
    yes_no = [term(word) for word in YES_NO]
    return {
        "surface": [term(word) for word in surfaces],
        "least ground": [term(word) for word in SHARES],
        "needs goal": yes_no,
        "needs light": yes_no,
    }
