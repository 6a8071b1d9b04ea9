"""Polygons in metres: frames, cuts, cells, overlap.

Pure: no clock, no file, no network, no database.
"""
