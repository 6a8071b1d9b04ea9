"""The light of a venue date by date, and what would end in the dark."""
