"""What a number on the command line can be."""

from __future__ import annotations

import click

LARGEST = 2**31 - 1
"""The largest number that every database keeps in a column of numbers."""
NUMBER = click.IntRange(1, LARGEST)
"""The number of a record."""
SEED = click.IntRange(0, LARGEST)
"""From where the optimiser draws."""
