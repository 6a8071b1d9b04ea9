"""The command line: the same services as the pages.

Exit code 2 is for what a person can mend, 3 for what a rule forbids unless it is overruled.
"""

from clubplanner.commands.root import main

__all__ = ["main"]
