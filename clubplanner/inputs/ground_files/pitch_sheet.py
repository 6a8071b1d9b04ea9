"""A pitch as a sheet of cells, one a form field, and back: the same rules as the grounds file."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from shapely import Polygon

from clubplanner.domain.ground.plans import CUTS
from clubplanner.domain.problems import Problem
from clubplanner.geometry.shapes import rectangle
from clubplanner.inputs.ground_files.ground_features import collection, pitch_in_metres
from clubplanner.inputs.ground_files.grounds import read_grounds
from clubplanner.language import ENGLISH, _, marked, term

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from clubplanner.domain.ground.grounds import Pitch
    from clubplanner.domain.ground.kinds import GroundKind

MOST_CORNERS, MOST_GOALS, MOST_PARTS, MOST_OBSTACLES = 24, 20, 24, 12
EDGES = ("start", "far", "left", "right")
PART_KINDS = {"markings": "marking", "areas": "area"}
_FACTS = {
    "name": "name",
    "surface": "surface",
    "length_m": "length",
    "width_m": "width",
    "corners_m": "corner_1_x",
    "holes_m": "holes",
    "bearing_deg": "bearing",
    "portable_goals": "portable",
    "entrance_m": "entrance_x",
}
_GOAL = {"x_m": "x", "y_m": "y", "along_deg": "turn", "width_m": "width", "height_m": "height",
         "kind": "kind"}  # fmt: skip
_BOX = ("x", "y", "length", "width")
_WHERE = re.compile(r"(?:, (goals|markings|areas|obstacles) (\d+))?(?:, property (\w+))?$")
PLACE_DIGITS = 7
"""Of a degree: a centimetre."""
CORNERS_HELP = marked("Write at least three corners, like 0 0; 30 0; 30 20; 0 20.")


@dataclass(frozen=True, slots=True)
class SheetRead:
    """What a sheet gave.

    Attributes:
        pitch: The pitch; None when there is a problem.
        problems: Every fault; `where` is the cell.
    """

    pitch: Pitch | None
    problems: tuple[Problem, ...]


def sheet_of(pitch: Pitch) -> dict[str, str]:
    """Write a pitch as cells; its place in the world to the centimetre."""
    facts = pitch_in_metres(pitch)["properties"]
    cells = {cell: _text(facts[name]) for name, cell in _FACTS.items() if name in facts
             and not isinstance(facts[name], list)}  # fmt: skip
    cells |= {"floodlights": _yes(pitch.is_lit), "indoor": _yes(pitch.is_indoor)}
    cells |= {edge: facts["names"][edge] for edge in EDGES}
    cells |= {f"cut_{cut}": "yes" for cut in facts["cuts"]}
    for n, (x, y) in enumerate(facts.get("corners_m", ()), 1):
        cells |= {f"corner_{n}_x": _text(x), f"corner_{n}_y": _text(y)}
    if "holes_m" in facts:
        cells["holes"] = "\n".join(_corners_text(ring) for ring in facts["holes_m"])
    if pitch.frame is not None:
        place = {"lon": pitch.frame.lon, "lat": pitch.frame.lat}
        cells |= {name: _text(round(value, PLACE_DIGITS)) for name, value in place.items()}
    spot = zip("xy", facts.get("entrance_m", ()), strict=False)
    cells |= {f"entrance_{axis}": _text(value) for axis, value in spot}
    if pitch.are_goals_known and not pitch.goals:
        cells["no_goals"] = "yes"
    for n, goal in enumerate(facts.get("goals", ()), 1):
        cells |= {f"goal_{n}_{cell}": _short(goal[name]) for name, cell in _GOAL.items()}
    parts = [(kind, entry) for kind in PART_KINDS for entry in facts[kind]]
    for n, (kind, entry) in enumerate(parts, 1):
        cells |= {f"part_{n}_kind": PART_KINDS[kind], f"part_{n}_name": entry["name"]}
        cells |= _shape_cells(f"part_{n}", entry["corners_m"])
    for n, entry in enumerate(facts["obstacles"], 1):
        cells |= _shape_cells(f"obstacle_{n}", entry["corners_m"])
    return cells


def sheet_of_kind(kind: GroundKind) -> dict[str, str]:
    """Write what a kind of ground usually is as cells, to be corrected; its name is not filled in.

    Sizes are rounded to the centimetre: nobody lays out a pitch more exactly.
    """
    length, width = round(kind.length_m, 2), round(kind.width_m, 2)
    cells = {
        "surface": kind.surface,
        "indoor": _yes(kind.is_indoor),
        "length": _text(length),
        "width": _text(width),
        **{f"cut_{cut}": "yes" for cut in kind.cuts},
    }
    if kind.goal_m is not None:
        for n, x in ((1, 0.0), (2, length)):
            goal = (x, round(width / 2, 3), 90.0, *(round(size, 2) for size in kind.goal_m))
            named = zip(("x", "y", "turn", "width", "height"), goal, strict=True)
            cells |= {f"goal_{n}_{name}": _text(value) for name, value in named}
            cells[f"goal_{n}_kind"] = "fixed"
    return cells


def read_sheet(cells: Mapping[str, str], venue: str, language: str = ENGLISH) -> SheetRead:
    """Read a pitch from cells, by way of the grounds file's own reader.

    Args:
        cells: What was typed, by cell; blank and missing are the same.
        venue: The venue's name.
        language: The club's, in which ends and parts without a name of their own are called.
    """
    draft = _Draft({name: value.strip() for name, value in cells.items()})
    feature = draft.feature()
    read = read_grounds(collection(venue or "-", [feature]), "", language)
    problems = [*draft.problems, *(draft.at_cell(problem) for problem in read.problems)]
    pitch = read.pitches[0] if read.pitches and not problems else None
    return SheetRead(pitch, tuple(problems))


@dataclass(slots=True)
class _Draft:
    cells: Mapping[str, str]
    problems: list[Problem] = field(default_factory=list)
    rows: dict[str, list[str]] = field(default_factory=dict)

    def feature(self) -> dict[str, Any]:
        get = self.cells.get
        values: dict[str, Any] = {
            "role": "pitch",
            "name": get("name", ""),
            "surface": get("surface", ""),
            "floodlights": bool(get("floodlights")),
            "indoor": bool(get("indoor")),
            "names": {edge: get(edge, "") for edge in EDGES if get(edge)},
            "cuts": [cut for cut in CUTS if get(f"cut_{cut}")],
            "portable_goals": _number(get("portable", "") or "0"),
            **self._outline(),
            **self._parts(),
            "obstacles": self._obstacles(),
        }
        goals = self._goals()
        if goals or get("no_goals"):
            values["goals"] = goals
        if goals and get("no_goals"):
            self._fault("no_goals", _("Untick this, or take the goals below out."))
        entrance = [get("entrance_x", ""), get("entrance_y", "")]
        if any(entrance):
            values["entrance_m"] = [_number(text) for text in entrance]
        geometry = None
        if get("lon") or get("lat"):
            spot = [_number(get("lon", "")), _number(get("lat", ""))]
            geometry = {"type": "Point", "coordinates": spot}
            values["bearing_deg"] = _number(get("bearing", ""))
        elif get("bearing"):
            self._fault("place", _("Say where it lies too, or leave the bearing blank."))
        return {"type": "Feature", "properties": values, "geometry": geometry}

    def at_cell(self, problem: Problem) -> Problem:
        """Point a fault of the feature at its cell."""
        found = _WHERE.search(problem.where)
        group, number, name = found.groups() if found else (None, None, None)
        if group is None or number is None:
            cell = _FACTS.get(name or "", "place" if problem.code == "not-a-point" else "name")
            if cell == "corner_1_x" and not self.cells.get("corner_1_x"):
                cell = "length"
        else:
            row = self.rows[group][int(number) - 1]
            ends = _GOAL if group == "goals" else {"name": "name"}
            cell = f"{row}_{ends.get(name or '', 'x')}"
        return Problem(cell, problem.code, _in_form_words(problem))

    def _outline(self) -> dict[str, Any]:
        corners = []
        for n in range(1, MOST_CORNERS + 1):
            pair = [self.cells.get(f"corner_{n}_{axis}", "") for axis in "xy"]
            if any(pair):
                corners.append([_number(text) for text in pair])
        if not corners:
            return {
                "length_m": _number(self.cells.get("length", "")),
                "width_m": _number(self.cells.get("width", "")),
            }
        holes = [
            _corners(line) for line in self.cells.get("holes", "").splitlines() if line.strip()
        ]
        return {"corners_m": corners, **({"holes_m": holes} if holes else {})}

    def _goals(self) -> list[dict[str, Any]]:
        goals = []
        for row in self._rows("goal", MOST_GOALS, ("x", "y"), "goals"):
            cells = {name: self.cells.get(f"{row}_{cell}", "") for name, cell in _GOAL.items()}
            kind = cells.pop("kind")
            goal: dict[str, Any] = {name: _number(text) for name, text in cells.items() if text}
            goals.append({"x_m": "", "y_m": "", **goal, **({"kind": kind} if kind else {})})
        return goals

    def _parts(self) -> dict[str, list[dict[str, Any]]]:
        found: dict[str, list[dict[str, Any]]] = {kind: [] for kind in PART_KINDS}
        self.rows |= {kind: [] for kind in PART_KINDS}
        for row in self._rows("part", MOST_PARTS, ("name", *_BOX, "corners"), "parts"):
            is_area = self.cells.get(f"{row}_kind") != "marking"
            kind = "areas" if is_area else "markings"
            self.rows[kind].append(row)
            name = self.cells.get(f"{row}_name", "")
            found[kind].append({"name": name, "corners_m": self._shape(row)})
        return found

    def _obstacles(self) -> list[dict[str, Any]]:
        rows = self._rows("obstacle", MOST_OBSTACLES, (*_BOX, "corners"), "obstacles")
        return [{"corners_m": self._shape(row)} for row in rows]

    def _rows(self, stem: str, most: int, names: Sequence[str], group: str) -> list[str]:
        """Return the rows in which something was typed."""
        rows = [
            f"{stem}_{n}"
            for n in range(1, most + 1)
            if any(self.cells.get(f"{stem}_{n}_{name}") for name in names)
        ]
        self.rows[group] = rows
        return rows

    def _shape(self, row: str) -> object:
        """Return the corners of a row: written out, or those of a rectangle."""
        written = self.cells.get(f"{row}_corners", "")
        if written:
            return _corners(written)
        x, y, length, width = (_number(self.cells.get(f"{row}_{name}", "")) for name in _BOX)
        if not all(isinstance(value, (int, float)) for value in (x, y, length, width)):
            return ""
        box = rectangle(float(x), float(y), float(length), float(width))  # type: ignore[arg-type]
        return [list(corner) for corner in list(box.exterior.coords)[:-1]]

    def _fault(self, cell: str, message: str) -> None:
        self.problems.append(Problem(cell, "sheet", message))


def _in_form_words(problem: Problem) -> str:
    """Say a fault of the file to somebody who fills in a form and sees no property names."""
    if problem.code == "not-corners":
        return term(CORNERS_HELP)
    if problem.code == "not-a-point":
        return _("Enter longitude (−180 to 180) and latitude (−90 to 90) in degrees.")
    if problem.code == "missing":
        return _("Fill this in.")
    return problem.form_words or problem.message


def _shape_cells(row: str, corners: Sequence[Sequence[float]]) -> dict[str, str]:
    polygon = Polygon(corners)
    x0, y0, x1, y1 = polygon.bounds
    if not polygon.equals(rectangle(x0, y0, x1 - x0, y1 - y0)):
        return {f"{row}_corners": _corners_text(corners)}
    sides = (x0, y0, x1 - x0, y1 - y0)
    return {f"{row}_{name}": _text(v) for name, v in zip(_BOX, sides, strict=True)}


def _corners(text: str) -> object:
    """Read "0 0; 30 0; 30 20" as corners; what is no number stays text, for the reader to tell."""
    pairs = [pair.replace(",", " ").split() for pair in text.split(";") if pair.strip()]
    return [[_number(value) for value in pair] for pair in pairs]


def _corners_text(corners: Iterable[Sequence[float]]) -> str:
    return "; ".join(f"{_text(x)} {_text(y)}" for x, y in corners)


def _number(text: str) -> object:
    """Read a number as a person writes it, with point or comma; any other text stays text."""
    try:
        value = float(text.replace(",", ".").replace("−", "-"))
    except ValueError:
        return text
    if not math.isfinite(value):
        return text
    return int(value) if value == int(value) else value


def _text(value: object) -> str:
    return (
        f"{round(value, 9):.9f}".rstrip("0").rstrip(".") if isinstance(value, float) else f"{value}"
    )


def _short(value: object) -> str:
    return _text(round(value, 3)) if isinstance(value, float) else _text(value)


def _yes(is_so: bool) -> str:
    return "yes" if is_so else ""
