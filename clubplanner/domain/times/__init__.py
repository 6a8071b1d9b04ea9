"""Clock times, windows, zones, seasons and daylight.

Time zones come from the `tzdata` package, never from the machine (`domain/times/zones.py`): pages,
bookings and feeds must agree. Zones that no yearly rule describes go out in UTC.
"""
