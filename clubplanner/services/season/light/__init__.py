"""The light of a venue date by date, and what would be in the dark."""
