"""Calendar feeds out, calendars of others in."""
