"""Rules about people: a coach in one place at a time, and rest for a squad."""
