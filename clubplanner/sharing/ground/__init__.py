"""A problem as columns: its ground and days, places and times for sessions, slots of the model."""
