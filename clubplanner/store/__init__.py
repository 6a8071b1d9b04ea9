"""The database: tables, the guard against double booking, engines and migrations.

Only services open sessions. The guard refuses overlapping bookings whatever the code does.
"""
