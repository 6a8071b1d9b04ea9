"""Records as a whole: brought to the newest shape, filled, moved, copied, kept as a backup."""
