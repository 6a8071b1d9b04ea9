"""One day: bookings, moves, closures, matches, the notice board."""
