"""Drawings as a notebook shows them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from clubplanner.errors import RefusedError
from clubplanner.outputs.drawings.picture import PICTURE_WIDTH_PX, png_from_svg
from clubplanner.resources import font_files

if TYPE_CHECKING:
    import os


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing; a notebook shows it by itself.

    Attributes:
        svg: A whole SVG element, with a title and the drawing in words.
    """

    svg: str

    def _repr_svg_(self) -> str:
        return self.svg

    def save(self, path: str | os.PathLike[str], width_px: int = PICTURE_WIDTH_PX) -> None:
        """Write it as a file, in the form that the name's ending says.

        Args:
            path: Ends in .svg or .png.
            width_px: Width of a PNG picture, 1 to 4,000.

        Raises:
            RefusedError: If the ending is another, the width is none, or the file cannot be
                written.
        """
        target = Path(path)
        ending = target.suffix.lower()
        if ending not in (".svg", ".png"):
            raise RefusedError(f"Pictures are .svg or .png; {target.name} ends in neither.")
        try:
            if ending == ".svg":
                target.write_text(self.svg, encoding="utf-8")
            else:
                target.write_bytes(png_from_svg(self.svg, width_px, font_files()))
        except OSError as fault:
            raise RefusedError(f"{target} cannot be written: {fault.strerror}.") from fault
        except ValueError as fault:
            raise RefusedError(str(fault)) from fault
