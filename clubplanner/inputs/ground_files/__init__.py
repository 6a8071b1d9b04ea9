"""Grounds files (GeoJSON), read and written.

A pitch's form is a grounds file too. `inputs/ground_files/ground_features.py` writes a pitch as a
feature, `inputs/ground_files/pitch_sheet.py` as cells of a form; both go back through the reader of
the grounds file, so a drawing while typing, a saved form and a loaded file follow the same rules.
Pitches whose place is known are sent as traced polygons where these read back to the same frame,
else in metres.
"""
