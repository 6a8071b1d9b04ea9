"""Webhooks: other programs are told what was changed, as soon as the worker's next round comes.

Context: a program that follows the journal (`services/journal/since.py`) has to ask again and
again; one behind a server of its own would rather be told. Decision: the secretary names an
address, and the journal itself is the outbox. A webhook has a mark; a message is the stretch of the
journal after it, with a number that stays at every try, and the mark goes on once the message was
taken. So nothing is left out that was changed, messages come in order, and each comes at least
once; who takes one twice knows it by its number. What a message says is read from the journal at
each try: whoever was erased meanwhile is not in it. Where not all since the mark is there any more
(the records were brought back), the message says so, with the mark to follow from.

Messages are signed by the open standard (`outputs/webhooks/signature.py`); a secret is exchanged
while it is in use, and for a day both count, as the standard has it. They go where calendars
of others may be read from, by https, or by http to the one computer of the own network that is
named (`services/calendars/fetching.py`); no redirect is followed. Tries come after growing pauses,
as those of mails; after three days of nothing taken, or where the answer is that nobody wants any
more (410), it ends, and the secretary is told by mail and on their first page.
"""
