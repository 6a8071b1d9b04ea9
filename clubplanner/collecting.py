"""How often Python looks for objects that only refer to each other, in a process that serves.

By its own measure it looks through all there are whenever a quarter has come on top: once in each
page that reads a council's bookings, a quarter of a second of the processor. What counts has not
become less by then: objects that nothing refers to go at once, without any of this.
"""

from __future__ import annotations

import gc

YOUNG, MIDDLE, OLD = 10_000, 20, 20
"""After how many new objects the youngest are looked through; every how many-th time the next."""


def collect_seldom() -> None:
    """Let what is there by now stay unlooked through, and the rest be so less often.

    To be called once all is loaded, and before the first request.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(YOUNG, MIDDLE, OLD)
