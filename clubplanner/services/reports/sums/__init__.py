"""What a report adds up: who had, lost, lit or left unused how much, as numbers alone."""
