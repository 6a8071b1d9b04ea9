"""Drawings: SVG of our own, words that find their place, pictures."""
