"""A club as a folder of its own files: all that it typed goes out, and comes in again the same.

Settings, grounds, squads and sizes are the files that are loaded anyway; everything else has a
sheet (`sheets/`). What goes where, and what stays, is decided column by column in `kept.py`. A
folder is no copy of the records: what the program noted by itself, and secrets, are not in it.
"""
