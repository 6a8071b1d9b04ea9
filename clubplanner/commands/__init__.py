"""The command line: the same services as the pages, exit code 2 for what a person can mend."""

from clubplanner.commands.root import main

__all__ = ["main"]
