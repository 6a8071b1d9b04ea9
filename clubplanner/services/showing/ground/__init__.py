"""A pitch as several pages draw it: its plan, who is next door, and how to get there."""
