"""The least ground that a squad asks for: square metres, a share of a pitch, a game format."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

from clubplanner.domain.club.squads import LeastGround
from clubplanner.inputs.reading.faults import list_words, show_value
from clubplanner.language import _, marked, term

if TYPE_CHECKING:
    from collections.abc import Collection

    from clubplanner.inputs.club_files.squads_file.squad_cells import SquadCells

SHARES = {
    marked("whole"): 1.0,
    marked("half"): 1 / 2,
    marked("third"): 1 / 3,
    marked("quarter"): 1 / 4,
}
LARGEST_M2 = 99_999
SQUARE_METRES = re.compile(r"^(\d+(?:\.\d+)?)\s*(?:m2|m²|sqm|sq m)$")


def read_least(row: SquadCells, format_codes: Collection[str]) -> LeastGround:
    """Read the column "least ground"; what is no size is a fault of the row.

    Shares are read in English and in the language spoken now, in which the fault names them.
    """
    shares = SHARES | {term(word).lower(): share for word, share in SHARES.items()}
    least = {"area_m2": 0.0, "share": 0.0}
    code = ""
    for part in row.text("least ground").split(","):
        typed = part.strip()
        word = typed.lower()
        metres = SQUARE_METRES.match(word)
        if not word:
            continue
        if metres and float(metres[1]) <= LARGEST_M2:
            least["area_m2"] = float(metres[1])
        elif word in shares:
            least["share"] = shares[word]
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
                    word=show_value(typed),
                    shares=list_words([term(share) for share in SHARES]),
                    format_codes=list_words(sorted(format_codes, key=_format_order)),
                ),
            )
    return LeastGround(least["area_m2"], least["share"], code)


def _format_order(code: str) -> tuple[int, str]:
    digits = re.match(r"\d+", code)
    return (int(digits[0]) if digits else 0, code)
