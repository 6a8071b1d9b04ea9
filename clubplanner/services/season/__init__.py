"""The year, the light, the grass, and what needs a hand."""
