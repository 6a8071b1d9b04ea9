"""What all tables that a club loads have in common."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _

if TYPE_CHECKING:
    from clubplanner.inputs.faults import Faults


def cells_by_column(
    header: list[str], cells: list[str], number: int, faults: Faults
) -> dict[str, str]:
    """Return a row's cells by the names of their columns; cells beyond the header are a fault."""
    if any(cell.strip() for cell in cells[len(header) :]):
        faults.add(
            f"row {number}",
            "too-many-cells",
            _(
                "The row has %(cells)s cells, the header %(header)s; put text that holds a "
                "separator in double quotes",
                cells=len(cells),
                header=len(header),
            ),
        )
    return {column: cell for column, cell in zip(header, cells, strict=False) if column}


def delimiter_of(text: str) -> str:
    """Return what separates cells: whichever of comma, semicolon and tab the first row has most."""
    first = text.lstrip().partition("\n")[0]
    return max(",;\t", key=first.count)
