"""Hires: somebody from outside takes ground, once or in a series of dates.

Every date is a booking of its own, held to the one rule book (`dates.py` looks, `booking.py`
books); a hire (`store/tables/hire_tables.py`) says which belong together, and whom to call. What
becomes of all later ones is decided by the pieces that move any session's later ones
(`services/evening/later_sessions.py`). The journal takes each act back as one.
"""
