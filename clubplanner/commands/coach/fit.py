"""The fit commands: what fits on a ground, without a club or a database."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.days import DAY
from clubplanner.commands.base.files_on_disk import read_file
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.services.coach.any_ground.fit_answers import Wanted
from clubplanner.services.coach.any_ground.fit_formats import ask_formats, read_own_formats
from clubplanner.services.coach.any_ground.fit_questions import (
    FOR_EDGES,
    ask_largest,
    ask_pieces,
    ask_sessions,
)
from clubplanner.services.coach.any_ground.fit_set_out import Walk

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.services.coach.any_ground.fit_answers import LaidPiece, WayAnswer
    from clubplanner.services.coach.any_ground.fit_set_out import SetOutAnswer

_ground = click.option(
    "--ground",
    required=True,
    metavar="LxW|WKT",
    help="Length x width in metres, such as 86x52, or a polygon in well-known text.",
)
_margin = click.option(
    "--margin", default=0.0, show_default=True, type=float, help="Metres kept from the edge."
)

_entrance = click.option(
    "--entrance",
    metavar="X,Y",
    help="Where you come in, metres; cones are numbered from there in the order of walking.",
)
_set_out = click.option(
    "--set-out", "with_cones", is_flag=True, help="Add the corners as numbered cones to pace out."
)


@click.group()
def fit() -> None:
    """Work out what fits on a piece of ground. Lengths are metres, whole numbers or decimals."""


@fit.command()
@_ground
@click.option("--piece", required=True, metavar="LxW", help="Such as 9x5; turned by quarters.")
@click.option(
    "--gap", default=0.0, show_default=True, type=float, help="Metres kept between pieces."
)
@_margin
@_set_out
@_entrance
@json_option
@tells_faults
def pieces(
    ground: str,
    piece: str,
    gap: float,
    margin: float,
    with_cones: bool,
    entrance: str | None,
    as_json: bool,
) -> None:
    """Lay as many equal rectangles on the ground as can be found.

    The count is proved when it meets the bound, or when a search found no room for one more. On
    ground with square corners both may hold for pieces along its edges only, and that is said:
    pieces at a slant are not tried there, and now and then more of them fit. Each rectangle is
    given by its lower left corner and its extents along x and y; on slanted ground all are then
    turned about that corner by an angle in degrees.
    """
    walk = Walk(entrance) if with_cones else None
    answer = ask_pieces(ground, piece, gap=gap, margin=margin, walk=walk)
    verb = "fits" if answer.count == 1 else "fit"
    sure = "proved, no more can" if answer.proved else f"at most {answer.bound} can"
    if answer.bound_for == FOR_EDGES:
        sure += " along the edges; turned pieces were not tried"
    lines = [f"{answer.count} {verb}; {sure}."]
    lines += [f"  {number}. {_in_words(laid)}" for number, laid in enumerate(answer.pieces, 1)]
    lines += _cones_in_words(answer.set_out, "")
    value = asdict(answer)
    if answer.set_out is None:
        del value["set_out"]
    say("\n".join(lines), value, as_json=as_json)


@fit.command()
@_ground
@click.option("--players", required=True, type=int, help="Goalkeepers among them.")
@click.option("--goalkeepers", default=0, show_default=True, type=int)
@click.option("--age", type=int, help="Age group, 13 for under 13s.")
@click.option(
    "--on", "day", type=DAY, help="Date of the session, for its season; today if left out."
)
@click.option("--goals", default=0, show_default=True, type=int, help="Goals that can be moved.")
@click.option(
    "--target-goals", default=0, show_default=True, type=int, help="Small goals nobody keeps."
)
@click.option("--size", metavar="LxW", help="Size each game is to have, such as 30x20.")
@click.option(
    "--margin",
    type=float,
    help="Clear metres kept from every edge and neighbour; games go to the line if left out.",
)
@click.option(
    "--neighbours",
    multiple=True,
    metavar="WKT",
    help="Ground beside it on which others are, a polygon in the same metres; more than once for "
    "several. Without --margin 3 m are kept from them, and edges are taken to be free.",
)
@click.option(
    "--instead",
    metavar="LxW|WKT",
    help="Other ground to compare with, such as a third for a half, or a hall.",
)
@click.option(
    "--sizes",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="A table of your own sizes of games (.csv or .xlsx), beside the published ones.",
)
@_entrance
@json_option
@tells_faults
def sessions(
    ground: str,
    players: int,
    goalkeepers: int,
    age: int | None,
    day: date | None,
    goals: int,
    target_goals: int,
    size: str | None,
    margin: float | None,
    neighbours: tuple[str, ...],
    instead: str | None,
    sizes: Path | None,
    entrance: str | None,
    as_json: bool,
) -> None:
    """List ways to play, best first; nobody standing about comes first.

    Under each stands what to set out: cones and carried goals in the order of walking, told from
    the ends and sides of the ground, which are called left, right, lower and upper as x runs to
    the right and y upwards.

    Below them stand what changes when the night does (a player more or fewer, a goalkeeper more,
    other ground), the sizes of games of the age group (adults where none is given), and which
    pitches fit on the ground, of every sport in the tables.
    """
    own = read_own_formats(None if sizes is None else read_file(sizes, ".csv"))
    day = day or present.now().date()
    wanted = Wanted(
        players, day, goalkeepers, age, goals, target_goals, size, own, margin, neighbours, entrance
    )
    ways, changes, no_game = ask_sessions(ground, wanted, instead)
    formats, found = ask_formats(ground, age, own, day)
    told = [_way_in_words(number, way) for number, way in enumerate(ways, 1)]
    told += [no_game] if no_game else []
    told += [f"{change.occasion}: {' '.join(change.lines)}" for change in changes]
    told += [game.sentence for game in formats]
    told += found.lines
    value = {
        "ways": [asdict(way) for way in ways],
        "no_game": no_game or None,
        "changes": [asdict(change) for change in changes],
        "formats": [asdict(game) for game in formats],
        "fits_in_words": list(found.lines),
        "formats_that_fit": [code for item in found.fitting for code in item.codes],
        "sports_that_fit": {item.sport: list(item.codes) for item in found.fitting},
    }
    say("\n".join(told), value, as_json=as_json)


@fit.command()
@_ground
@click.option("--aspect", type=float, help="Length over width, either way round.")
@_margin
@_set_out
@_entrance
@json_option
@tells_faults
def largest(
    ground: str,
    aspect: float | None,
    margin: float,
    with_cones: bool,
    entrance: str | None,
    as_json: bool,
) -> None:
    """Find the largest rectangle on the ground."""
    walk = Walk(entrance) if with_cones else None
    found, cones = ask_largest(ground, aspect=aspect, margin=margin, walk=walk)
    if found is None:
        nothing = {"x": None, "y": None, "length": 0.0, "width": 0.0, "angle": 0.0, "area": 0.0}
        say("No rectangle fits on this ground.", nothing, as_json=as_json)
        return
    area = round(found.length * found.width, 6)
    lines = [f"{_in_words(found)}, {area:.1f} m².", *_cones_in_words(cones, "")]
    value = {**asdict(found), "area": area}
    if cones is not None:
        value["set_out"] = asdict(cones)
    say("\n".join(lines), value, as_json=as_json)


def _in_words(laid: LaidPiece) -> str:
    turned = f", turned by {laid.angle:g}°" if laid.angle else ""
    length, width, x, y = map(_metres, (laid.length, laid.width, laid.x, laid.y))
    return f"{length} × {width} m at ({x}, {y}){turned}"


def _metres(value: float) -> str:
    """Write metres to a millimetre, without needless noughts."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


def _way_in_words(number: int, way: WayAnswer) -> str:
    lines = [f"{number}. {way.title}"]
    lines += [
        f"   {game.players[0]} v {game.players[1]} on {_in_words(game.rectangle)}"
        for game in way.games
    ]
    if way.spare is not None:
        lines.append(f"   Spare ground: {_in_words(way.spare)}")
    lines += [
        f"   {note}"
        for note in (way.clear, way.extra_role, *way.notes, way.too_hard, way.too_easy)
        if note
    ]
    lines += _cones_in_words(way.set_out, "   ")
    return "\n".join(lines)


def _cones_in_words(found: SetOutAnswer | None, indent: str) -> list[str]:
    """Write what to set out, none where there is nothing or it was not asked for."""
    if found is None or not found.cones:
        return []
    cones = [f"  {cone.number}. {cone.words}" for cone in found.cones]
    return [f"{indent}{line}" for line in ("Set it out:", *found.first, *cones, *found.kit)]
