"""Ground that is closed, at once or planned: closing, changing, opening again, and as values."""
