"""Bookings, and what becomes one: closures, matches, others' busy times, waiting asks."""
