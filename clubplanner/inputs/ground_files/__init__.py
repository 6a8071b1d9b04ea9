"""Grounds files (GeoJSON), read and written."""
