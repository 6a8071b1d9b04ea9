"""How much of the processor a process and all that it began have taken; proc(5), so Linux only."""

from __future__ import annotations

import os
from pathlib import Path

TICKS_A_S = os.sysconf("SC_CLK_TCK")


def processor_s(root: int) -> float:
    """Return the seconds of a process, of those that it has waited for, and of those under it.

    What children of a killed process took after it is not known any more.
    """
    stats: dict[int, list[str]] = {}
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            stats[int(folder.name)] = (folder / "stat").read_text().rpartition(")")[2].split()
        except OSError:  # it has ended meanwhile
            continue
    children: dict[int, list[int]] = {}
    for number, values in stats.items():
        children.setdefault(int(values[1]), []).append(number)
    ticks, waiting = 0, [root]
    while waiting:
        number = waiting.pop()
        ticks += sum(map(int, stats.get(number, ["0"] * 15)[11:15]))  # utime, stime, cutime, cstime
        waiting += children.get(number, ())
    return ticks / TICKS_A_S
