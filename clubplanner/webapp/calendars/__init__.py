"""Pages of calendars: ours, and those of others."""
