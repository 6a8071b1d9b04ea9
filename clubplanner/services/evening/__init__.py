"""One day: bookings, moves, closures, matches, the notice board.

A closure is a booking by nobody, a row a day, so the one guard rules it; its row in `closure` only
groups the days, and a condition (“no studs”) holds no ground at all. Whether ground is closed is
read from the bookings, so undo needs no special case. Who has to go gets a place by
`services/places/places.py` (free ground that satisfies the ask) and `domain/ground/places.py` (the
choice for all of them at once, checked against brute force); nobody else is disturbed. A session
booked after the person looked is told, never swept away.
"""
