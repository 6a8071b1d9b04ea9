"""The next season: looked through, corrected by hand, and made in one go."""
