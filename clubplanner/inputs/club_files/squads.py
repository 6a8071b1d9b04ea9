"""Reading squads and their asks from a CSV file, a row an ask."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING

from clubplanner.domain.club.squads import Ask, LeastGround, Squad
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.times.windows import EXAMPLE, parse_windows, told_days
from clubplanner.inputs.club_files import wants
from clubplanner.inputs.club_files.faults import Faults, list_words, show_value
from clubplanner.inputs.club_files.tables import cells_by_column, read_table
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence

    from clubplanner.domain.problems import Problem
    from clubplanner.domain.times.times import Window

COLUMNS = (
    "squad",
    "age group",
    "players",
    "goalkeepers",
    "coach",
    "coach e-mail",
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
REQUIRED = ("squad", "players", "sessions a week", "minutes", "possible")
SHARES = {
    marked("whole"): 1.0,
    marked("half"): 1 / 2,
    marked("third"): 1 / 3,
    marked("quarter"): 1 / 4,
}
MOST_PLAYERS = 200
MOST_SESSIONS = 7
SHORTEST_MINUTES, LONGEST_MINUTES = 15, 360
MOST_ROWS = 5000
LARGEST_M2 = 99_999

_EMAIL = re.compile(r"^[^@\s,;<>]+@[^@\s,;<>]+\.[^@\s,;<>.]+$")
SQUARE_METRES = re.compile(r"^(\d+(?:\.\d+)?)\s*(?:m2|m²|sqm|sq m)$")
_YES = {"yes", "y", "true", "1", "x"}
_NO = {"no", "n", "false", "0", ""}


@dataclass(frozen=True, slots=True)
class AskRow:
    """An ask and the row of the file it stands in, counted from 1."""

    row: int
    ask: Ask


@dataclass(frozen=True, slots=True)
class SquadsRead:
    """What a squads file gave: complete only when there is no problem."""

    squads: tuple[Squad, ...]
    asks: tuple[AskRow, ...]
    problems: tuple[Problem, ...]


def read_squads(text: str, file_name: str, format_codes: Collection[str]) -> SquadsRead:
    """Read a squads file.

    Separators may be commas, semicolons or tabs. A squad may stand in several rows, one an ask;
    what describes the squad must then be the same or left blank.

    Args:
        text: The whole file.
        file_name: How to call it in problems.
        format_codes: Game formats that "least ground" may name, such as "7v7".
    """
    faults = Faults(file_name)
    rows = read_table(text, faults, MOST_ROWS)
    if rows is None:
        return SquadsRead((), (), tuple(faults.found))
    first = next((n for n, cells in enumerate(rows, 1) if any(c.strip() for c in cells)), 0)
    if not first:
        faults.add(
            "",
            "empty",
            _(
                "The file is empty; its first row names the columns: %(columns)s, …",
                columns=COLUMNS[0],
            ),
        )
        return SquadsRead((), (), tuple(faults.found))
    header = _read_header(first, rows[first - 1], faults)
    if not set(REQUIRED) <= set(header):
        return SquadsRead((), (), tuple(faults.found))
    squads: dict[str, Squad] = {}
    asks: list[AskRow] = []
    for number, cells in enumerate(rows[first:], start=first + 1):
        if any(cell.strip() for cell in cells):
            _read_row(
                _Row(number, cells_by_column(header, cells, number, faults), faults),
                format_codes,
                squads,
                asks,
            )
    if not squads and not faults.found:
        faults.add(
            f"row {first + 1}",
            "empty",
            _("No squad follows the header; write one squad a row"),
        )
    _check_partners(squads, asks, faults)
    return SquadsRead(tuple(squads.values()), tuple(asks), tuple(faults.found))


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


@dataclass(slots=True)
class _Row:
    number: int
    cells: Mapping[str, str]
    faults: Faults
    faulty: set[str] = field(default_factory=set)

    def text(self, column: str) -> str:
        return self.cells.get(column, "").strip()

    def fault(self, column: str, code: str, message: str) -> None:
        self.faulty.add(column)
        self.faults.add(f"row {self.number}, column {column}", code, message)

    def whole(self, column: str, low: int, high: int, default: int | None = None) -> int:
        text = self.text(column)
        if not text and default is not None:
            return default
        if not re.fullmatch(r"\d{1,9}", text):
            shown = (
                _("%(words)s is not a whole number", words=show_value(text))
                if text
                else _("A number is missing")
            )
            self.fault(
                column,
                "not-a-number",
                _("%(shown)s; write one from %(low)s to %(high)s", shown=shown, low=low, high=high),
            )
            return low
        value = int(text)
        if not low <= value <= high:
            self.fault(
                column,
                "out-of-range",
                _(
                    "%(value)s is too %(how)s; write a number from %(low)s to %(high)s",
                    value=value,
                    how=_("small") if value < low else _("large"),
                    low=low,
                    high=high,
                ),
            )
        return value

    def windows(self, column: str) -> tuple[Window, ...]:
        try:
            return parse_windows(self.text(column))
        except ValueError as fault:
            self.fault(column, "not-a-window", str(fault))
            return ()

    def yes(self, column: str) -> bool:
        text = self.text(column).lower()
        if text not in _YES | _NO:
            self.fault(
                column,
                "not-yes-or-no",
                _("%(words)s is neither yes nor no; write yes or no", words=show_value(text)),
            )
        return text in _YES


def _read_row(
    row: _Row, format_codes: Collection[str], squads: dict[str, Squad], asks: list[AskRow]
) -> None:
    squad = _read_squad(row, squads.get(key_from_name(row.text("squad"))))
    minutes = row.whole("minutes", SHORTEST_MINUTES, LONGEST_MINUTES)
    wanted = wants.read_wants(row)
    ask = Ask(
        squad_key=squad.key,
        sessions=row.whole("sessions a week", 1, MOST_SESSIONS),
        minutes=minutes,
        possible=row.windows("possible"),
        preferred=row.windows("preferred"),
        least_ground=_read_least(row, format_codes),
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


def _read_squad(row: _Row, earlier: Squad | None) -> Squad:
    name = " ".join(row.text("squad").split())
    if not name:
        row.fault("squad", "missing", _("The squad's name is missing; write what people call it"))
    if len(name) > 80:
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
    email = row.text("coach e-mail")
    if email and not _EMAIL.match(email):
        row.fault(
            "coach e-mail",
            "not-an-address",
            _(
                "%(email)s is not an e-mail address; write it like name@example.org",
                email=show_value(email),
            ),
        )
    return Squad(
        key_from_name(name),
        name,
        row.text("age group"),
        players,
        goalkeepers,
        row.text("coach"),
        email,
    )


def _same_squad(row: _Row, earlier: Squad) -> Squad:
    known = {
        "age group": earlier.age_group,
        "players": str(earlier.players),
        "goalkeepers": str(earlier.goalkeepers),
        "coach": earlier.coach,
        "coach e-mail": earlier.coach_email,
    }
    for column, value in known.items():
        if row.text(column) not in ("", value):
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


def _check_windows(row: _Row, ask: Ask) -> None:
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


def _check_days(row: _Row, ask: Ask) -> None:
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


def _read_least(row: _Row, format_codes: Collection[str]) -> LeastGround:
    least = {"area_m2": 0.0, "share": 0.0}
    code = ""
    for part in row.text("least ground").lower().split(","):
        word = part.strip()
        metres = SQUARE_METRES.match(word)
        if not word:
            continue
        if metres and float(metres[1]) <= LARGEST_M2:
            least["area_m2"] = float(metres[1])
        elif word in SHARES:
            least["share"] = SHARES[word]
        elif re.fullmatch(r"1/[1-9]\d?", word):
            least["share"] = float(Fraction(word))
        elif word in format_codes:
            code = word
        else:
            row.fault(
                "least ground",
                "not-a-size",
                _(
                    "%(word)s is no size; write square metres (1500 m2), a share of a pitch "
                    "(%(shares)s) or a game format (%(format_codes)s)",
                    word=show_value(word),
                    shares=list_words(SHARES),
                    format_codes=list_words(sorted(format_codes, key=_format_order)),
                ),
            )
    return LeastGround(least["area_m2"], least["share"], code)


def _format_order(code: str) -> tuple[int, str]:
    digits = re.match(r"\d+", code)
    return (int(digits[0]) if digits else 0, code)


def _read_header(row: int, cells: list[str], faults: Faults) -> list[str]:
    plain: Callable[[str], str] = lambda text: re.sub(r"[^a-z]", "", text.lower())  # noqa: E731
    known = {plain(column): column for column in COLUMNS}
    header: list[str] = []
    for position, cell in enumerate(cells, start=1):
        column = known.get(plain(cell), "")
        if not column and cell.strip():
            faults.add(
                f"row {row}, column {position}",
                "unknown-column",
                _(
                    "%(cell)s is not a column; the columns are %(columns)s",
                    cell=show_value(cell.strip()),
                    columns=list_words(COLUMNS),
                ),
            )
        if column and column in header:
            faults.add(
                f"row {row}, column {position}",
                "repeated-column",
                _("“%(column)s” stands there twice; keep one", column=column),
            )
        header.append(column)
    for column in REQUIRED:
        if column not in header:
            faults.add(
                f"row {row}",
                "missing-column",
                _("The column “%(column)s” is missing; add it", column=column),
            )
    return header
