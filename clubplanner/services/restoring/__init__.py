"""Bringing a club's records back from a backup, and what that means for people outside.

Context: a backup is how things were, and people have gone on since: calendars were fetched, mails
sent, one-time addresses used, addresses withdrawn, passwords changed. Decision: what the *club
plans* becomes what the backup holds; what *people outside have* stays true as far as anything says
what it is. If the records that are replaced are of the same club and can be read, they say
(`former.py`); else the worst is taken for true.

- Calendars: each booking that a calendar may hold gets a count and an instant above all that it
  can have seen (RFC 5545, 3.8.7.4 and 3.8.7.2), for each second between backup and present one
  count at least. A session to come that was made after the backup stays as a withdrawn one, so that
  calendars and mails call it off; one that was changed since goes back as a change of the journal,
  and the outbox tells of it (`counting_on.py`). If nothing says what was made since, such sessions
  leave a calendar when it is fetched, as its programs take what is served for all there is; those
  that a mail put there stay, and the page of the restoring says so.
- Told is told: what mail servers took, who turned mails off and which notes were told are as in the
  records that are replaced; if nothing says so, what still waited is put among the mails that did
  not arrive, from where one press sends what is true now (`outside.py`).
- Ways in (`ways_in.py`): as they are now, person by person and address by address; a withdrawn
  address, an old password, a used sign-in address does not live again. If nothing says how they are
  now, whoever restores has to say which it is: as in the backup, or all closed. One-time addresses
  and signed-in browsers of the backup never work then.
- Programs that follow the journal: another era begins, so that a mark from after the backup is told
  to be gone and its program reads anew; one from before it goes on. Webhooks are ways in.
- Forms that were open are refused once and shown again: their secret is made anew. Runs of the
  optimiser have ended. Rows keep their numbers.

Consequences: the journal since the backup is lost with what it tells of, but for the sessions to
come; the records that are replaced are kept as a backup themselves. Persons that were let in after
the backup, and addresses of squads made after it, have to be made again.
"""
