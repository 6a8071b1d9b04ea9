"""Calendars of others, read as busy times.

Own code that stays, held against libraries that do it in November 2026. Recurrences of others'
calendars (`inputs/calendars/`): `recurring-ical-events` reads 1,390 of 1,500 drawn series as we do,
43 wrongly in nights of clock changes (RFC 5545, 3.8.5.3: with DTEND every date has the same exact
length), 67 otherwise where the standard leaves it open. But nothing bounds it: `dateutil.rrule`
beneath it, which looks at UNTIL only when a date comes true, was busy after 5 s with 18 of the 30
absurd rules of our tests. It would need a process that the clock ends, with a verdict that hangs on
the machine. Six kinds of broken event it reads without a word. In the place of `recurrence.py`
alone (250 of 1,700 lines) `dateutil.rrule` has the same trouble. Tests hold ours against both.
"""
