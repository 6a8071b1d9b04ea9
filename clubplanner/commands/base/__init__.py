"""What every command has: where the records are, what it prints, days, files, progress."""
