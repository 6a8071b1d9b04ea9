"""Setting a sheet as a tagged PDF by typst, from data that is never code."""

from __future__ import annotations

import json
from dataclasses import asdict
from functools import cache
from typing import TYPE_CHECKING

import typst

from clubplanner.language import spoken

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from _typeshed import DataclassInstance


def set_sheet(
    sheet: DataclassInstance, source: str, fonts: Sequence[str], made_at: datetime, **more: str
) -> bytes:
    """Set what stands on a sheet as a PDF, in the language that is spoken; see `set_paper`.

    Args:
        sheet: What stands on it.
        source: The typst source of the sheet, which reads the sheet's fields, `language` and what
            is given besides.
        fonts: Folders or files of the fonts.
        made_at: Written into the file to the second.
        more: What the source reads besides.
    """
    data = json.dumps({**asdict(sheet), "language": spoken(), **more})
    return set_paper(source, data, fonts, made_at)


def set_paper(source: str, data: str, fonts: Sequence[str], made_at: datetime) -> bytes:
    """Set a sheet as a PDF.

    Args:
        source: The typst source of the sheet, which reads `data` as JSON.
        data: What stands on it, as JSON.
        fonts: Folders or files of the fonts.
        made_at: Written into the file to the second: the same sheet gives the same bytes.

    Returns:
        A tagged PDF (PDF/UA-1); where our fonts lack a letter, the machine's own are used too, and
        the file makes no such claim.
    """
    try:
        return _compile(source, data, _fonts(tuple(fonts)), made_at, is_tagged=True)
    except typst.TypstError:
        wide = _fonts(tuple(fonts), with_machines=True)
        return _compile(source, data, wide, made_at, is_tagged=False)


def _compile(
    source: str, data: str, fonts: typst.Fonts, made_at: datetime, *, is_tagged: bool
) -> bytes:
    done = typst.compile(
        source.encode(),
        font_paths=fonts,
        ignore_system_fonts=True,
        sys_inputs={"data": data},
        format="pdf",
        pdf_standards=["ua-1"] if is_tagged else [],
        timestamp=made_at.replace(microsecond=0),  # typst refuses parts of a second
    )
    if not isinstance(done, bytes):
        raise TypeError("The sheet did not become one file.")
    return done


@cache
def _fonts(paths: tuple[str, ...], *, with_machines: bool = False) -> typst.Fonts:
    return typst.Fonts(
        include_system_fonts=with_machines, include_embedded_fonts=False, font_paths=list(paths)
    )
