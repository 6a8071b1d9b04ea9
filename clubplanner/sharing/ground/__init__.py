"""Every place and time for a session, as columns."""
