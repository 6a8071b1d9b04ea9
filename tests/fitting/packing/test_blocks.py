"""Blocks of boxes that lie round each other."""

from __future__ import annotations

from clubplanner.fitting.packing.blocks import pack_blocks


def test_blocks_find_a_pinwheel() -> None:
    """Four boxes of two by three go round an empty middle, which straight cuts cannot do."""
    assert len(pack_blocks((5, 5), (3, 2), 4, 2000)) == 4
