"""Calendar feeds and the calendar part of a mail.

Own code that stays, held against libraries that do it in November 2026. Descriptions of zones
(`outputs/calendars/timezones.py`): `icalendar` 7.3 writes starts on the clock after the change,
where RFC 5545 has the one before, and ends in 2037: read by the standard, 203 of its 567 zones are
wrong somewhere in 2024–2036 and 190 in 2039–2041; by ical.js 243 in 2026–2027. Of our 573 none is,
by either; 25 go out in UTC. `ics-vtimezones` is of 2020 on CPython 3.11.
"""
