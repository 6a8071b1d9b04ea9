"""Calendar feeds and the calendar part of a mail."""
