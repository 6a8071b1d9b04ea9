"""Mails about changes: gathered, delivered, listed, turned off.

The outbox is written by the journal. What the journal notes of a booking and a squad would notice
(`domain/club/told/notices.py`) becomes a `notice` row in the same transaction
(`store/journal/outbox.py`); a change that nobody counted is counted there, so that calendars take
it. Services call nothing. What happens within 24 hours is marked to go by mail too.

Mails are delivered at least once, and show once. `making/gathering.py` makes mails of notes
(one a person and go of changes, told once in one transaction), `sending/delivering.py` takes
one, hands it over, notes it. A worker may die anywhere; the next try has the same Message-ID, uids,
counts and stamps, since a mail keeps what it tells. Only its secret address and its date are new at
each try: no secret is stored, only hashes. Every server that serves also runs the worker
(`commands/serving/worker.py`). What the mail server refuses before it knows a recipient
(`sending/answers.py`) it refuses to the club: all mails wait, for growing whiles, with a row
that tells why (`mail_pause`), and none is lost. Only what is said of a recipient or of one message
ends a mail.

What a server took is kept, a row an address and booking (`making/last_told.py`). Beside it
what is true decides who gets the next mail (`making/following.py`): an entry that a mail
put into a calendar is corrected by mail however far ahead, by a higher count, also for whoever is
no longer written to about the squad; they get no address that opens anything. Who is written to is
asked in `services/addresses/recipients.py` alone. Who knows of a change, by whatever way, is worked
out in `services/mails/knowing.py`; `base.html` shows it by `_who_knows.html` after every form that
changed something.
"""
