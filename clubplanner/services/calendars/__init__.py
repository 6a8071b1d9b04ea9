"""Calendar feeds out, calendars of others in.

One address a person (`link`): of a squad (page and calendar), a coach or a pitch (calendar), with a
reminder and a mail address of its own. In a pitch's calendar uids bear the pitch, since a booking
that moves away is withdrawn there while it goes on elsewhere. Addresses in mails are links too,
listed by who was written to.

A foreign calendar is the source of its own bookings. It is fetched under limits and never from
inside a network (`services/calendars/fetching.py`), read with a fault costing its own event only
(`inputs/calendars/busy.py`), joined and cut at midnight (`domain/booked/busy.py`) and compared with
what is booked for it. Free ground is taken, what is gone is given back; what would displace a squad
waits for a person. When it cannot be fetched, what was read last goes on to count.
"""
