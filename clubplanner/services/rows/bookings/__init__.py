"""Rows of bookings: inserted, moved, counted, and what they are held against."""
