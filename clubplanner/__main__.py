"""Lets `python -m clubplanner` do what the command does."""

from clubplanner.commands import main

if __name__ == "__main__":
    main()
