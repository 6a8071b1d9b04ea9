"""The club's own sizes are taken away, and loaded again the same."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.language import speaking
from clubplanner.outputs.tables.text_files import write_csv
from clubplanner.outputs.tables.workbooks import write_workbook
from clubplanner.services.rows.ground.known_sizes import published_formats
from clubplanner.services.rows.ground.own_sizes import load_own_formats, write_own_formats
from clubplanner.services.setup.loading import load_files
from clubplanner.services.setup.size_table import sizes_table
from tests.builders import NOW

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

KNOWN = {one.code: one for one in published_formats() if not (one.valid_from or one.valid_until)}
"""One of each code, in metres, yards and feet; a club's own table has no dates."""


@pytest.mark.parametrize("code", ["en", "de"])
def test_sizes_come_back_the_same(small: Store, code: str) -> None:
    """As text and as a workbook, whatever sign parts the digits of a number."""
    with small.write() as session:
        write_own_formats(session, tuple(KNOWN.values()))
    with speaking(code):
        table = sizes_table(small)
        text = write_csv(table)
        for file in (
            ClubFile("sizes.csv", text),
            ClubFile("sizes.xlsx", write_workbook([table], NOW)),
        ):
            with small.write() as session:
                write_own_formats(session, ())
            load_files(small, [file], NOW)
            assert write_csv(sizes_table(small)) == text
            with small.read() as session:
                assert [one.code for one in load_own_formats(session)] == list(KNOWN)
