"""Give and take between squads: hand back, ask, wait, change places."""
