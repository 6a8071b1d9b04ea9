"""Polygons in metres: frames, cuts, cells, overlap.

Pure: no clock, no file, no network, no database.

Cells. Context: cuts of a pitch cross (a third and a half, a 9-a-side pitch lying across). Decision:
the outlines of all areas cut a pitch into at most 63 cells; an area is a bit mask; two areas clash
when masks meet. Overlaps narrower than 10 cm come from tracing by hand and do not count.
Consequences: one integer a booking, one AND in the guard; a change of cuts renumbers that pitch's
bookings in the same transaction, one by one, so the guard sees each. What is over by then keeps the
cells of its day; the area says since when it has others (`redrawn_at`).
"""
