"""The README's first command, as it is typed, on a port that is not the usual one."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from tests.use.files import open_file
from tests.use.program import Program
from tests.use.visitor import Visitor

if TYPE_CHECKING:
    from pathlib import Path

SECONDS = "1"


def test_the_demo_hands_out_addresses_that_open(unpacked: Path, tmp_path: Path) -> None:
    """Each leads to where the pages are served; the secretary's evening prints as a sheet."""
    folder = tmp_path / "demo"
    folder.mkdir()
    program = Program(unpacked, folder)
    words = ("demo", "--port", str(program.port), "--folder", ".", "--seconds", SECONDS, "--json")
    with program.serving(*words, wait_s=150):
        text = program.log.read_text("utf-8")
        given, _end = json.JSONDecoder().raw_decode(text[text.index("{") :])
        assert not given["cautions"] or "this machine only" in given["cautions"][0]
        addresses = {
            who: given[who] for who in given if who not in ("database", "cautions", "clock")
        }
        assert given["database"] == f"sqlite:///{folder / 'demo.sqlite'}"
        assert set(addresses) == {"secretary", "coach", "groundskeeper", "squad", "feed"}
        for address in addresses.values():
            assert address.startswith(f"{program.address}/")
            answer = Visitor(program.address).get(address)
            assert answer.status == 200, address
            open_file(answer)
        desk = Visitor(program.address)
        desk.send(addresses["secretary"], name="Kim Ashby", password="four words make it long")
        sheet = desk.get("/desk/board/osier-lane/sheet.pdf")
        assert sheet.status == 200
        open_file(sheet)
    log = program.log.read_text("utf-8")
    assert "Traceback" not in log
    assert "ERROR" not in log
