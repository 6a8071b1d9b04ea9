"""Reading and writing rows for every use case.

Beside the rooms stand what all of them read (`snapshot.py`, `remembered.py`) and whoever looks for
something: by its name (`named.py`), near enough (`near.py`), and one's own (`own_club.py`).
"""
