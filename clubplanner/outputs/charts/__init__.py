"""Charts of how well squads are served, of load and of turns."""
