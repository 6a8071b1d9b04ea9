"""What is on and where: bookings, matches, closures, swaps, and what is asked for."""
