"""A table of rows as a sheet of the folder: its columns, out as text and in again.

`sheets.py` lists which there are; rows are named by `names.py`, since numbers mean nothing
elsewhere.
"""
