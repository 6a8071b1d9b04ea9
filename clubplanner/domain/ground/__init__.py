"""Venues, pitches and areas: their shapes, sizes, forms of the game, and how much grass bears."""
