"""Finding anything by typing a part of its name: squads, people, ground, days and sessions."""
